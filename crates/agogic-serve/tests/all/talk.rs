//! A server in a thread, and requests written by hand: a client library would not send what strangers send.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::time::Duration;

use agogic_serve::{Answers, Asset, Limits, Refusal, Server, Site};

/// Counts the bytes of a log; refuses an empty one and falls over a log of one sign.
pub struct Count;

impl Answers for Count {
    fn answer(&self, log: &[u8], question: &[u8]) -> Result<Vec<u8>, Refusal> {
        match log.len() {
            0 => Err(Refusal("nothing was typed".into())),
            1 => panic!("a fault of ours, on purpose"),
            length => Ok(format!("{{\"bytes\":{length},\"asked\":{}}}", question.len()).into_bytes()),
        }
    }

    fn explorer(&self) -> Result<Vec<u8>, Refusal> {
        Ok(b"{\"people\":3}".to_vec())
    }
}

/// A running server.
pub struct Running {
    pub host: String,
    pub secret: String,
    pub thread: std::thread::JoinHandle<()>,
}

pub fn limits() -> Limits {
    let short = Duration::from_millis(300);
    Limits { head: short, body: short, connection: Duration::from_secs(5), ..Limits::default() }
}

pub fn start(limits: Limits) -> Running {
    let page = |path, kind, text: &str| Asset { path, kind, bytes: text.as_bytes().to_vec() };
    let assets = vec![page("", "text/html; charset=utf-8", "<p>Low tide"), page("page.js", "text/javascript", "1")];
    let server = Server::bind(Site { assets, answers: Count }, limits).unwrap();
    let address = server.address();
    let (host, secret) = address.strip_prefix("http://").unwrap().trim_end_matches('/').split_once('/').unwrap();
    let (host, secret) = (host.to_owned(), secret.to_owned());
    Running { host, secret, thread: std::thread::spawn(move || server.run().unwrap()) }
}

/// What came back.
#[derive(Debug)]
pub struct Reply {
    pub status: u16,
    pub head: String,
    pub body: String,
}

impl Running {
    pub fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        stream
    }

    /// Sends bytes as they are, and reads until the server closes.
    pub fn raw(&self, bytes: &[u8]) -> Reply {
        let mut stream = self.connect();
        // Who is refused early may find the door shut while still sending.
        let _ = stream.write_all(bytes);
        read(&mut stream)
    }

    pub fn get(&self, path: &str) -> Reply {
        self.raw(
            format!("GET /{}/{path} HTTP/1.1\r\nHost: {}\r\nConnection: close\r\n\r\n", self.secret, self.host)
                .as_bytes(),
        )
    }

    pub fn head(&self, path: &str, length: usize) -> String {
        format!(
            "POST /{}/{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n\
             Content-Length: {length}\r\nConnection: close\r\n\r\n",
            self.secret,
            host = self.host
        )
    }

    pub fn post(&self, path: &str, body: &str) -> Reply {
        self.raw(format!("{}{body}", self.head(path, body.len())).as_bytes())
    }

    /// A new piece of work; its name.
    pub fn begin(&self) -> String {
        let reply = self.post("work", "{}");
        assert_eq!(reply.status, 201, "{reply:?}");
        let value: serde_json::Value = serde_json::from_str(&reply.body).unwrap();
        value["id"].as_str().unwrap().to_owned()
    }

    pub fn add(&self, id: &str, from: usize, log: &str) -> Reply {
        let body = serde_json::json!({ "from": from, "log": log, "place": "p" }).to_string();
        self.post(&format!("work/{id}"), &body)
    }
}

pub fn read(stream: &mut TcpStream) -> Reply {
    let mut bytes = Vec::new();
    // A reset after the reply is the server's way to stop who goes on sending.
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
    Reply { status, head: head.to_ascii_lowercase(), body: body.to_owned() }
}
