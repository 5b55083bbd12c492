//! Whoever is not the page gets nothing, and the page goes on.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use agogic_serve::Limits;

use crate::talk::{limits, read, start};

#[test]
fn only_the_page_of_this_server_is_answered() {
    let server = start(limits());
    let (secret, host) = (server.secret.clone(), server.host.clone());
    let get = |path: &str, headers: &str| {
        server.raw(format!("GET {path} HTTP/1.1\r\nConnection: close\r\n{headers}\r\n").as_bytes()).status
    };
    let own = format!("Host: {host}\r\n");
    let path = format!("/{secret}/");
    assert_eq!(get(&path, &own), 200);
    // A name that someone points to this machine.
    let port = host.split(':').next_back().unwrap();
    for other in ["evil.example", "localhost", "127.0.0.2", "127.0.0.1.evil.example"] {
        assert_eq!(get(&path, &format!("Host: {other}:{port}\r\n")), 421, "{other}");
    }
    assert!([400, 421].contains(&get(&path, "")));
    // No secret, a guess, the secret elsewhere.
    for guess in
        ["/", "/favicon.ico", &format!("/{}/", "0".repeat(32)), &format!("/?{secret}"), &format!("/x/{secret}/")]
    {
        assert_eq!(get(guess, &own), 404, "{guess}");
    }
    // A page of another site.
    for origin in ["http://evil.example", "null", "http://localhost:1"] {
        assert_eq!(get(&path, &format!("{own}Origin: {origin}\r\n")), 403, "{origin}");
    }
    assert_eq!(get(&path, &format!("{own}Sec-Fetch-Site: cross-site\r\n")), 403);
    let post = |headers: &str| {
        let text =
            format!("POST /{secret}/work HTTP/1.1\r\nConnection: close\r\n{headers}Content-Length: 2\r\n\r\n{{}}");
        server.raw(text.as_bytes()).status
    };
    let json = "Content-Type: application/json\r\n";
    assert_eq!(post(&format!("{own}{json}")), 403, "a change names its origin");
    assert_eq!(post(&format!("{own}{json}Origin: http://evil.example\r\n")), 403);
    assert_eq!(post(&format!("{own}Origin: http://{host}\r\n")), 415, "what a form can send is refused");
    assert_eq!(post(&format!("{own}{json}Origin: http://{host}\r\n")), 201);
    let put = format!("DELETE /{secret}/work HTTP/1.1\r\n{own}Origin: http://{host}\r\nConnection: close\r\n\r\n");
    assert_eq!(server.raw(put.as_bytes()).status, 405);
    // No reply but the page's own tells the secret.
    let told = server.raw(format!("GET / HTTP/1.1\r\n{own}Connection: close\r\n\r\n").as_bytes());
    assert!(!told.body.contains(&secret) && !told.head.contains(&secret));
}

#[test]
fn a_body_of_a_gigabyte_is_refused_unread() {
    let server = start(limits());
    let reply = server.raw(server.head("work/x", 1 << 30).as_bytes());
    assert_eq!(reply.status, 413, "{reply:?}");
    // Who does not say how much there is to come is stopped on the way.
    let head = format!(
        "POST /{}/work/x HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\n\
         Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n",
        server.secret,
        host = server.host
    );
    let mut stream = server.connect();
    stream.write_all(head.as_bytes()).unwrap();
    let chunk = [b"10000\r\n".as_slice(), &[b'x'; 0x10000], b"\r\n"].concat();
    let sent = (0..16_384).take_while(|_| stream.write_all(&chunk).is_ok()).count();
    assert!(sent < 1024, "{sent} chunks of 64 kB were taken");
    let reply = read(&mut stream);
    // The reply may be lost to the reset that stops the sender.
    assert!([413, 0].contains(&reply.status), "{reply:?}");
    assert_eq!(server.get("").status, 200, "the page goes on");
    let long = format!("GET /{}/{} HTTP/1.1\r\nHost: {}\r\n\r\n", server.secret, "x".repeat(1 << 20), server.host);
    assert!([414, 431, 400, 0].contains(&server.raw(long.as_bytes()).status));
}

#[test]
fn the_slow_are_not_waited_for() {
    let server = start(limits());
    let begun = Instant::now();
    // A body that does not come, a head that does not end, a connection on which nothing is said.
    let reply = server.raw(server.head("work", 100).as_bytes());
    assert_eq!(reply.status, 408, "{reply:?}");
    let reply = server.raw(format!("GET /{}/ HTTP/1.1\r\nHost: ", server.secret).as_bytes());
    assert!([408, 0].contains(&reply.status), "{reply:?}");
    let mut silent = server.connect();
    assert_eq!(silent.read(&mut [0; 8]).unwrap(), 0, "it is closed");
    // And one that stays silent after a first request.
    let mut again = server.connect();
    let request = format!("GET /{}/ HTTP/1.1\r\nHost: {}\r\n\r\n", server.secret, server.host);
    again.write_all(request.as_bytes()).unwrap();
    assert_eq!(read(&mut again).status, 200);
    assert!(begun.elapsed() < Duration::from_secs(15), "{:?}", begun.elapsed());
}

#[test]
fn ten_thousand_pieces_of_work_are_not_kept() {
    let server = start(limits());
    let mut stream = server.connect();
    let head = format!(
        "POST /{}/work HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: application/json\r\nContent-Length: 2\r\n",
        server.secret,
        host = server.host
    );
    let (mut kept, mut refused) = (0, 0);
    let mut buffer = Vec::new();
    for number in 0..10_000 {
        let last = if number == 9_999 { "Connection: close\r\n" } else { "" };
        stream.write_all(format!("{head}{last}\r\n{{}}").as_bytes()).unwrap();
        let mut part = [0; 4096];
        loop {
            let read = stream.read(&mut part).unwrap();
            buffer.extend_from_slice(&part[..read]);
            let text = String::from_utf8_lossy(&buffer).into_owned();
            if text.ends_with('}') {
                match &text[9..12] {
                    "201" => kept += 1,
                    "429" => refused += 1,
                    other => panic!("{other}: {text}"),
                }
                buffer.clear();
                break;
            }
        }
    }
    assert_eq!((kept, refused), (Limits::default().works, 10_000 - Limits::default().works));
    assert_eq!(server.post("forget", "{}").status, 200);
    assert!(!server.begin().is_empty());
}

#[test]
fn more_connections_than_are_borne_wait_and_are_served() {
    let server = start(Limits { connections: 4, ..limits() });
    let held: Vec<_> = (0..12).map(|_| server.connect()).collect();
    // The silent are put out, and then it is the page's turn.
    assert_eq!(server.get("page.js").status, 200);
    drop(held);
}
