//! Beginnings, ends, and messages that are none.

use std::io::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value as Json, json};

fn framed(message: &Json) -> String {
    let text = message.to_string();
    format!("Content-Length: {}\r\n\r\n{text}", text.len())
}

fn request(id: i32, method: &str, params: Json) -> String {
    framed(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}))
}

fn notification(method: &str, params: Json) -> String {
    framed(&json!({"jsonrpc": "2.0", "method": method, "params": params}))
}

fn initialize() -> String {
    request(1, "initialize", json!({"processId": null, "rootUri": null, "capabilities": {}}))
}

/// What the program says to some bytes, after which its input is closed, and its exit code.
fn said(bytes: &[u8]) -> (Vec<Json>, i32) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_holdpoint"))
        .args(["language-server", "--stdio", "--today", "2026-06-01"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    // One that ends early reads no more.
    let _ = child.stdin.take().unwrap().write_all(bytes);
    let started = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if started.elapsed() > Duration::from_secs(60) {
            child.kill().unwrap();
            panic!("it does not end when its input does");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    let output = child.wait_with_output().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    let bodies = text.split("Content-Length: ").skip(1).map(|part| part.split_once("\r\n\r\n").unwrap().1);
    (bodies.map(|body| serde_json::from_str(body).unwrap()).collect(), output.status.code().unwrap())
}

fn answer(all: &[Json], id: i32) -> &Json {
    all.iter().find(|one| one["id"] == id).unwrap_or_else(|| panic!("no answer to {id}: {all:?}"))
}

#[test]
fn it_ends_as_the_protocol_wants_it() {
    let shutdown = request(2, "shutdown", Json::Null);
    let exit = notification("exit", Json::Null);
    for (messages, expected) in [
        (vec![initialize(), shutdown.clone(), exit.clone()], 0),
        (vec![initialize(), exit.clone()], 1),
        (vec![exit], 1),
        // The input is closed instead.
        (vec![initialize(), shutdown], 0),
        (vec![initialize()], 1),
        (vec![], 1),
    ] {
        let (all, code) = said(messages.concat().as_bytes());
        assert_eq!(code, expected, "{messages:?}: {all:?}");
    }
}

#[test]
fn what_comes_at_the_wrong_time_or_is_not_offered_is_refused_by_its_number() {
    let hover = |id| {
        request(
            id,
            "textDocument/hover",
            json!({"textDocument": {"uri": "file:///x"}, "position": {"line": 0, "character": 0}}),
        )
    };
    let script = [
        hover(10),
        initialize(),
        initialize().replace("\"id\":1", "\"id\":2"),
        hover(11),
        request(12, "textDocument/moniker", json!({})),
        request(13, "textDocument/hover", json!({"position": "nowhere"})),
        request(3, "shutdown", Json::Null),
        hover(14),
        notification("exit", Json::Null),
    ];
    let (all, code) = said(script.concat().as_bytes());
    let error = |id| answer(&all, id)["error"]["code"].as_i64().unwrap();
    assert_eq!([10, 2, 11, 12, 13, 14].map(error), [-32002, -32600, -32602, -32601, -32602, -32600]);
    assert!(answer(&all, 1)["result"]["capabilities"]["hoverProvider"] == true && code == 0);
    assert_eq!(answer(&all, 1)["result"]["capabilities"]["positionEncoding"], "utf-16");
}

#[test]
fn wrong_messages_are_named_and_passed_over() {
    let wrong = [
        "Content-Length: 9\r\n\r\n{not json",
        "some words\r\nContent-Length: many\r\n\r\n",
        "Content-Length: 6\r\n\r\n[1, 2]",
        "Content-Length: 2\r\n\r\n\u{fe}",
        &notification("textDocument/didChange", json!({"textDocument": 3})),
        &notification("no/such", json!([1])),
        &framed(&json!({"jsonrpc": "2.0", "id": 99, "result": {}})),
        &notification("$/cancelRequest", json!({"id": 12345})),
    ];
    let script = [
        &[initialize()],
        &wrong.map(str::to_owned)[..],
        &[request(2, "shutdown", Json::Null)],
        &[notification("exit", Json::Null)],
    ];
    let (all, code) = said(script.map(<[String]>::concat).concat().as_bytes());
    assert_eq!((code, answer(&all, 2)["result"].clone()), (0, Json::Null));
    let codes: Vec<i64> = all
        .iter()
        .filter(|one| one["id"].is_null())
        .filter_map(|one| one["error"]["code"].as_i64())
        .collect();
    assert_eq!(codes, [-32700, -32600, -32700], "{all:?}");
    assert!(all.iter().any(|one| one["method"] == "window/logMessage"));
}

#[test]
fn a_request_that_is_cancelled_before_its_turn_is_not_answered_otherwise() {
    let uri = "file:///tmp/cancelled.rocket.yaml";
    let item = json!({"uri": uri, "languageId": "yaml", "version": 1, "text": "holdpoint: 1\n"});
    let script = [
        initialize(),
        notification("textDocument/didOpen", json!({"textDocument": item})),
        request(5, "textDocument/documentSymbol", json!({"textDocument": {"uri": uri}})),
        request(6, "textDocument/documentSymbol", json!({"textDocument": {"uri": uri}})),
        notification("$/cancelRequest", json!({"id": 6})),
        request(7, "shutdown", Json::Null),
        notification("exit", Json::Null),
    ];
    let (all, code) = said(script.concat().as_bytes());
    assert!(answer(&all, 5)["result"].is_array() && code == 0, "{all:?}");
    // It may have had its turn before the message that cancels it came; then it is answered.
    let cancelled = answer(&all, 6);
    assert!(cancelled["error"]["code"] == -32800 || cancelled["result"].is_array(), "{cancelled}");
}

/// A hostile text neither ends the session nor keeps it for long.
#[test]
fn hostile_texts_are_diagnosed_like_others() {
    let deep = "[".repeat(5000);
    let bomb =
        "a: &a [x, x, x, x, x, x, x, x, x]\nb: &b [*a, *a, *a, *a, *a, *a, *a, *a]\nc: [*b, *b, *b, *b]\n";
    let escape = "holdpoint: 1\nname: \"\u{1b}[31m\"\nfinnish: x\n";
    for text in [deep.as_str(), bomb, escape, "\u{feff}holdpoint: 1\r\nname: a\rseeks: b\n", ""] {
        let uri = "file:///tmp/hostile.rocket.yaml";
        let item = json!({"uri": uri, "languageId": "yaml", "version": 1, "text": text});
        let at = json!({"textDocument": {"uri": uri}, "position": {"line": 1, "character": 400}});
        let script = [
            initialize(),
            notification("textDocument/didOpen", json!({"textDocument": item})),
            request(4, "textDocument/hover", at.clone()),
            request(5, "textDocument/completion", at),
            request(6, "textDocument/foldingRange", json!({"textDocument": {"uri": uri}})),
            request(7, "shutdown", Json::Null),
            notification("exit", Json::Null),
        ];
        let (all, code) = said(script.concat().as_bytes());
        let reported = all.iter().find(|one| one["method"] == "textDocument/publishDiagnostics").unwrap();
        assert!(!reported["params"]["diagnostics"].as_array().unwrap().is_empty(), "{reported}");
        assert!(!reported.to_string().contains("\\u001b") && code == 0);
        assert!(answer(&all, 5)["error"].is_null());
    }
}
