//! The JSON Schema of designs in an editor: the language server that most editors use completes keys and marks a mistake.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use serde_json::{Value as Json, json};

use super::{client, root, skipped};

struct Server {
    child: Child,
    to: ChildStdin,
    from: BufReader<ChildStdout>,
}

impl Server {
    fn start() -> Option<Self> {
        let script =
            client("yaml-language-server", "node_modules/yaml-language-server/bin/yaml-language-server")?;
        let started = Command::new("node")
            .arg(script)
            .arg("--stdio")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn();
        let Ok(mut child) = started else {
            skipped("node is not installed, which runs the language server");
            return None;
        };
        let (to, from) = (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
        Some(Self { child, to, from })
    }

    fn send(&mut self, message: &Json) {
        let text = message.to_string();
        write!(self.to, "Content-Length: {}\r\n\r\n{text}", text.len()).unwrap();
        self.to.flush().unwrap();
    }

    fn receive(&mut self) -> Json {
        let mut length = 0;
        loop {
            let mut line = String::new();
            assert!(self.from.read_line(&mut line).unwrap() > 0, "the server ended");
            if line.trim().is_empty() {
                break;
            }
            if let Some(count) = line.strip_prefix("Content-Length:") {
                length = count.trim().parse().unwrap();
            }
        }
        let mut bytes = vec![0; length];
        self.from.read_exact(&mut bytes).unwrap();
        serde_json::from_slice(&bytes).unwrap()
    }

    /// The next message that is wanted; what the server asks on the way is answered.
    fn until(&mut self, settings: &Json, wanted: impl Fn(&Json) -> bool) -> Json {
        for _ in 0..500 {
            let message = self.receive();
            if wanted(&message) {
                return message;
            }
            if message["method"] == "workspace/configuration" {
                let items = message["params"]["items"].as_array().unwrap();
                let answers: Vec<Json> = items
                    .iter()
                    .map(|i| {
                        settings.get(i["section"].as_str().unwrap_or("")).cloned().unwrap_or(json!(null))
                    })
                    .collect();
                self.send(&json!({"jsonrpc": "2.0", "id": message["id"], "result": answers}));
            } else if message.get("id").is_some() && message.get("method").is_some() {
                self.send(&json!({"jsonrpc": "2.0", "id": message["id"], "result": null}));
            }
        }
        panic!("the server never said it");
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

const WRONG: &str = "holdpoint: 1\nname: Water Rail\nfinnish: bare\nsections:\n  nose:\n    nose_cone:\n      shape: pointy\n      \n";

#[test]
fn an_editor_completes_keys_and_marks_what_is_wrong() {
    let Some(mut server) = Server::start() else { return };
    let schema = format!("file://{}", root().join("schemas/design.schema.json").display());
    let settings = json!({
        "yaml": {"schemas": {schema: ["*.rocket.yaml"]}, "validate": true, "completion": true, "schemaStore": {"enable": false}},
        "http": {"proxy": "", "proxyStrictSSL": false},
        "[yaml]": {"editor.tabSize": 2},
        "editor": {},
        "files": {},
    });
    let uri = "file:///tmp/water.rocket.yaml";
    server.send(&json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {
        "processId": null, "rootUri": null,
        "capabilities": {"workspace": {"configuration": true, "didChangeConfiguration": {"dynamicRegistration": true}}},
    }}));
    server.until(&settings, |m| m["id"] == 1 && m.get("result").is_some());
    server.send(&json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}));
    server.send(&json!({"jsonrpc": "2.0", "method": "workspace/didChangeConfiguration", "params": {"settings": settings}}));
    server.send(&json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {
        "textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": WRONG},
    }}));
    let reported = server.until(&settings, |m| {
        m["method"] == "textDocument/publishDiagnostics"
            && m["params"]["uri"] == uri
            && m["params"]["diagnostics"].as_array().is_some_and(|d| d.len() >= 2)
    });
    let reported = reported["params"]["diagnostics"].as_array().unwrap();
    let on_line = |line: u64, word: &str| {
        reported.iter().any(|d| {
            d["range"]["start"]["line"] == line && d["message"].as_str().is_some_and(|m| m.contains(word))
        })
    };
    assert!(on_line(2, "finnish"), "{reported:#?}");
    assert!(on_line(6, "tangent ogive"), "{reported:#?}");

    server.send(&json!({"jsonrpc": "2.0", "id": 2, "method": "textDocument/completion", "params": {
        "textDocument": {"uri": uri}, "position": {"line": 7, "character": 6},
    }}));
    let offered = server.until(&settings, |m| m["id"] == 2);
    let items = offered["result"]["items"].as_array().or_else(|| offered["result"].as_array()).unwrap();
    for key in ["length", "outer_diameter", "shoulder"] {
        assert!(items.iter().any(|i| i["label"] == key), "{key} is not offered among {}", items.len());
    }
}
