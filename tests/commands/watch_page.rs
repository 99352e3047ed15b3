//! `watch --page`: one page on the loopback interface, for whoever was told its address, loaded anew on each save.

use std::io::{Read as _, Write as _};
use std::net::{Shutdown, TcpStream};
use std::time::Duration;

use crate::watch::Watch;
use crate::{Bench, DUAL, swap};

/// A watched design whose page is served.
struct Served {
    watch: Watch,
    port: u16,
    token: String,
}

/// A request up to its empty line, without its `Host`.
struct Request<'r> {
    line: &'r str,
    host: Option<&'r str>,
    more: &'r str,
}

impl Served {
    fn of(bench: &Bench) -> Self {
        let watch = Watch::of(bench, &["--page", "a.rocket.yaml", "--today", "2026-06-01"]);
        let first = watch.until("flight  ");
        let url = first.lines().find_map(|l| l.strip_prefix("page: http://127.0.0.1:")).unwrap();
        let (port, path) = url.split_once('/').unwrap();
        let token = path.strip_suffix('/').unwrap().to_owned();
        assert!(token.len() == 32 && token.bytes().all(|b| b.is_ascii_hexdigit()), "{url}");
        Self { watch, port: port.parse().unwrap(), token }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream
    }

    /// Everything that is answered to some bytes.
    fn answer(&self, bytes: &[u8]) -> String {
        let mut stream = self.connect();
        stream.write_all(bytes).unwrap();
        stream.shutdown(Shutdown::Write).unwrap();
        let mut all = Vec::new();
        stream.read_to_end(&mut all).unwrap();
        String::from_utf8(all).unwrap()
    }

    fn ask(&self, request: &Request<'_>) -> String {
        let own = format!("127.0.0.1:{}", self.port);
        let host = request.host.unwrap_or(&own);
        self.answer(format!("{} HTTP/1.1\r\nHost: {host}\r\n{}\r\n", request.line, request.more).as_bytes())
    }

    fn get(&self, path: &str) -> String {
        self.ask(&Request { line: &format!("GET {path}"), host: None, more: "" })
    }

    fn page(&self) -> String {
        let all = self.get(&format!("/{}/", self.token));
        let (head, page) = all.split_once("\r\n\r\n").unwrap();
        assert!(head.starts_with("HTTP/1.1 200 "), "{head}");
        assert!(head.contains(&format!("Content-Length: {}\r\n", page.len())), "{head}");
        for due in ["Cache-Control: no-store", "frame-ancestors 'none'", "Referrer-Policy: no-referrer"] {
            assert!(head.contains(due), "{head}");
        }
        page.to_owned()
    }
}

/// What stands between two texts.
fn between<'t>(text: &'t str, from: &str, to: &str) -> &'t str {
    text.split_once(from).unwrap_or_else(|| panic!("no {from}")).1.split_once(to).unwrap().0
}

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("a.rocket.yaml", DUAL);
    bench
}

#[test]
fn the_page_is_that_of_the_review_with_one_script() {
    let bench = bench();
    let served = Served::of(&bench);
    let page = served.page();
    let written = bench.run(&["review", "--format", "html", "--today", "2026-06-01", "a.rocket.yaml"]).out;
    let article = |page: &str| between(page, "<article", "</article>").to_owned();
    assert_eq!(article(&page), article(&written));
    assert!(page.contains("This page follows the file"), "{page}");
    // It may run its own script, and no other; what is written may run none.
    assert_eq!(page.matches("<script").count(), 1);
    let nonce = between(&page, "script-src 'nonce-", "'");
    assert!(nonce.len() == 32 && page.contains(&format!("<script nonce=\"{nonce}\"")), "{nonce}");
    assert!(page.contains("default-src 'none'") && page.contains("connect-src 'self'"));
    assert!(!written.contains("<script") && !written.contains("script-src"));
    assert_ne!(nonce, served.token);
}

#[test]
fn only_who_was_told_the_address_is_answered() {
    let bench = bench();
    let served = Served::of(&bench);
    let own = format!("GET /{}/", served.token);
    let status = |answer: String, due: &str| {
        assert!(answer.starts_with(&format!("HTTP/1.1 {due} ")), "{due} is due: {answer}");
        assert!(!answer.contains("<html"), "{answer}");
    };
    // A site that had its name point here, and a request that does not say which site it means.
    let local = format!("localhost:{}", served.port);
    let answer = served.ask(&Request { line: &own, host: Some(&local), more: "" });
    assert!(answer.starts_with("HTTP/1.1 200 "), "{answer}");
    for host in ["marsh.example", "127.0.0.1", "127.0.0.1:1", "", &format!("marsh.example:{}", served.port)] {
        status(served.ask(&Request { line: &own, host: Some(host), more: "" }), "421");
    }
    status(served.answer(format!("{own} HTTP/1.1\r\n\r\n").as_bytes()), "421");
    let twice = format!("Host: {local}\r\n");
    status(served.ask(&Request { line: &own, host: None, more: &twice }), "421");
    // A script of another page.
    let origin = "Origin: http://marsh.example\r\n";
    status(served.ask(&Request { line: &own, host: None, more: origin }), "403");
    let events = format!("GET /{}/events", served.token);
    status(served.ask(&Request { line: &events, host: None, more: origin }), "403");
    // Whoever guesses.
    let mut near = served.token.clone();
    near.replace_range(31.., if near.ends_with('0') { "1" } else { "0" });
    for path in ["/", "//", "/events", "/0/", &format!("/{near}/"), &format!("/{}", served.token), "*"] {
        status(served.get(path), "403");
    }
    status(served.get(&format!("/{}/../a.rocket.yaml", served.token)), "404");
    status(served.ask(&Request { line: &own.replace("GET", "POST"), host: None, more: "" }), "405");
    status(served.answer(b"no request\r\n\r\n"), "400");
    status(served.answer(&vec![b'a'; 40_000][..16 << 10]), "400");
    // Another address of this machine's own network: nobody listens there.
    if cfg!(target_os = "linux") {
        assert!(TcpStream::connect(("127.0.0.2", served.port)).is_err());
    }
    assert!(served.page().contains("<article"));
}

#[test]
fn a_save_is_told_to_the_browser_and_changes_the_page() {
    let bench = bench();
    let served = Served::of(&bench);
    let mut events = served.connect();
    let request = format!("GET /{}/events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", served.token, served.port);
    events.write_all(request.as_bytes()).unwrap();
    let mut seen = String::new();
    let mut until = |words: &str| {
        let mut some = [0; 512];
        while !seen.contains(words) {
            let read = events.read(&mut some).unwrap();
            assert!(read > 0, "`{words}` never came: {seen}");
            seen.push_str(std::str::from_utf8(&some[..read]).unwrap());
        }
    };
    until("\ndata: 1\n\n");
    assert!(served.page().contains("data-version=\"1\""));

    bench.write("a.rocket.yaml", swap(DUAL, "rail: 96 in", "rail: 20 in"));
    until("\ndata: 2\n\n");
    let page = served.page();
    assert!(page.contains("data-version=\"2\"") && page.contains("rail-exit-fast-enough"), "{page}");

    // What cannot be read is told, and no review of another text stands beside it.
    bench.write("a.rocket.yaml", "sections: {tube: [");
    until("\ndata: 3\n\n");
    let page = served.page();
    assert!(page.contains("What could not be read") && !page.contains("<article"), "{page}");
    bench.write("a.rocket.yaml", DUAL);
    until("\ndata: 4\n\n");
    assert!(served.page().contains("<article"));
}

#[cfg(unix)]
#[test]
fn an_interrupt_ends_it_with_the_exit_code_of_the_file_as_it_is() {
    for (text, code) in [(DUAL.to_owned(), 0), (swap(DUAL, "rail: 96 in", "rail: 20 in"), 1)] {
        let bench = Bench::new();
        bench.write("a.rocket.yaml", text);
        let mut served = Served::of(&bench);
        let id = served.watch.child.id().to_string();
        // A browser that still waits does not keep it.
        let _open = served.connect();
        assert!(std::process::Command::new("kill").args(["-INT", &id]).status().unwrap().success());
        assert_eq!(served.watch.child.wait().unwrap().code(), Some(code));
    }
}
