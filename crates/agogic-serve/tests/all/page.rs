//! The page keeps its work and gets its answers.

use std::time::Duration;

use agogic_serve::Limits;

use crate::talk::{limits, start};

#[test]
fn every_reply_shuts_the_browser_in() {
    let server = start(limits());
    let reply = server.get("");
    assert_eq!((reply.status, reply.body.as_str()), (200, "<p>Low tide"));
    for line in [
        "content-security-policy: default-src 'none'; script-src 'self'",
        "frame-ancestors 'none'",
        "referrer-policy: no-referrer",
        "cache-control: no-store",
        "x-content-type-options: nosniff",
        "cross-origin-resource-policy: same-origin",
    ] {
        assert!(reply.head.contains(line), "{line}: {}", reply.head);
        assert!(server.get("nothing").head.contains(line), "{line}, where there is nothing");
    }
    assert!(!reply.head.contains("unsafe") && !reply.head.contains("access-control"), "{}", reply.head);
    assert_eq!((server.get("page.js").status, server.get("../page.js").status), (200, 404));
}

#[test]
fn work_outlives_the_page_that_began_it() {
    let server = start(limits());
    let id = server.begin();
    assert_eq!(server.add(&id, 0, "abc\n").status, 200);
    // A second tab with the same work is told how much there is.
    let reply = server.add(&id, 0, "xyz");
    assert_eq!((reply.status, reply.body.as_str()), (409, "{\"length\":4}"));
    assert_eq!(server.add(&id, 4, "d").status, 200);
    let kept = server.get(&format!("work/{id}")).body;
    assert_eq!(kept, "{\"log\":\"abc\\nd\",\"place\":\"p\"}");
    assert!(server.get("work").body.contains(&id));
    let answer = |question: &str| server.post(&format!("work/{id}/answer"), question);
    assert_eq!(answer("{}").body, "{\"bytes\":5,\"asked\":2}");
    assert_eq!(answer("{}").body, "{\"bytes\":5,\"asked\":2}", "the same again");
    assert_eq!(answer("{\"a\":1}").body, "{\"bytes\":5,\"asked\":7}");
    assert_eq!(server.get("explorer").body, "{\"people\":3}");
    assert_eq!(server.post("forget", "{}").status, 200);
    assert_eq!((server.get(&format!("work/{id}")).status, answer("{}").status), (404, 404));
    assert_eq!(server.add(&id, 5, "e").status, 404);
}

#[test]
fn refusals_and_faults_are_told_and_survived() {
    let server = start(limits());
    let id = server.begin();
    let answer = || server.post(&format!("work/{id}/answer"), "{}");
    let refused = answer();
    assert_eq!((refused.status, refused.body.as_str()), (422, "{\"refused\":\"nothing was typed\"}"));
    server.add(&id, 0, "a");
    let fault = answer();
    assert!(fault.status == 422 && fault.body.contains("fault of the program"), "{fault:?}");
    server.add(&id, 1, "bc");
    assert_eq!(answer().body, "{\"bytes\":3,\"asked\":2}");
    for body in ["", "[]", "{\"from\":0}", "{\"from\":-1,\"log\":\"\",\"place\":\"\"}"] {
        assert_eq!(server.post(&format!("work/{id}"), body).status, 400, "{body}");
    }
}

#[test]
fn it_ends_when_nobody_uses_it() {
    let server = start(Limits { quiet: Duration::from_secs(2), ..limits() });
    for _ in 0..5 {
        std::thread::sleep(Duration::from_millis(600));
        assert_eq!(server.get("").status, 200, "whoever uses it keeps it up");
    }
    // Strangers do not.
    for _ in 0..20 {
        std::thread::sleep(Duration::from_millis(150));
        let _ = std::net::TcpStream::connect(&server.host);
    }
    let ended = (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        server.thread.is_finished()
    });
    assert!(ended);
}
