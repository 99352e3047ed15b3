//! Sessions with an editor: requests of every sort at any place of any text, at the wrong time, and what is no message.

use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use holdpoint::language_server::{Role, Workspace, serve};
use holdpoint::review::{Options, Passes};
use holdpoint::rules::{Library, TRIAL_DAY};
use holdpoint::yaml::{Problem, Source};
use serde_json::{Value, json};

use super::choices::Choices;
use super::corpus::{ODD, PACKS, mutated};
use super::designs::LIBRARY;
use super::driver::fuzz;
use super::generated::design;

/// A workspace without a disk.
struct Nowhere;

impl Workspace for Nowhere {
    fn role(&self, path: &Path, _text: &str) -> Role {
        match path.to_string_lossy() {
            name if name.ends_with(".rocket.yaml") => Role::Design,
            name if name.ends_with("holdpoint.yaml") => Role::Settings,
            name if name.ends_with("pack.yaml") => Role::Pack,
            _ => Role::Other,
        }
    }

    fn whole(&self, path: &Path) -> PathBuf {
        Path::new("/nowhere").join(path)
    }

    fn number(&mut self, _path: &Path) -> usize {
        0
    }

    fn library(&self, _number: usize) -> Option<&Library> {
        Some(&LIBRARY)
    }

    fn options(&self, _number: usize, _design: &Path, common: &Options) -> Options {
        common.clone()
    }

    fn problems(&self) -> Vec<(PathBuf, Arc<Source>, Problem)> {
        Vec::new()
    }

    fn library_with(
        &self,
        _path: &Path,
        _role: Role,
        source: Source,
    ) -> (Library, Vec<(Arc<Source>, Problem)>) {
        let library = Library::load(vec![source]);
        let problems = library.problems.clone();
        (library, problems)
    }

    fn record(&mut self, _design: &Path) -> Option<Passes> {
        None
    }

    fn designs(&mut self, _folder: &Path) -> Vec<PathBuf> {
        Vec::new()
    }

    fn open(&self, _path: &Path) -> Option<Source> {
        None
    }

    fn forget(&mut self) {}
}

const URIS: [&str; 5] = [
    "file:///nowhere/a.rocket.yaml",
    "file:///nowhere/pack.yaml",
    "file:///nowhere/holdpoint.yaml",
    "untitled:Untitled-1",
    "file:///nowhere/%FF%00.rocket.yaml",
];

const ENCODINGS: [&[&str]; 4] = [&["utf-16"], &["utf-8", "utf-16"], &["utf-32"], &["no"]];

const METHODS: [&str; 16] = [
    "textDocument/hover",
    "textDocument/completion",
    "textDocument/definition",
    "textDocument/references",
    "textDocument/prepareRename",
    "textDocument/rename",
    "textDocument/documentSymbol",
    "textDocument/foldingRange",
    "textDocument/codeAction",
    "textDocument/inlayHint",
    "textDocument/diagnostic",
    "workspace/symbol",
    "initialize",
    "completionItem/resolve",
    "no/such",
    "shutdown",
];

/// A place of a text, mostly one that there is.
fn position(text: &str, choices: &mut Choices<'_>) -> Value {
    let lines: Vec<&str> = text.split('\n').collect();
    let line = choices.below(lines.len() + 1);
    let length = lines.get(line).map_or(0, |line| line.encode_utf16().count());
    let character = choices.below(length + 2);
    match choices.below(12) {
        0 => json!({"line": 4_294_967_295_u32, "character": 4_294_967_295_u32}),
        1 => json!({"line": -1, "character": 0.5}),
        _ => json!({"line": line, "character": character}),
    }
}

fn range(text: &str, choices: &mut Choices<'_>) -> Value {
    json!({"start": position(text, choices), "end": position(text, choices)})
}

/// A message about a document.
fn message(id: &mut i32, text: &str, choices: &mut Choices<'_>) -> Value {
    let uri = choices.one_of(&URIS);
    let document = json!({"uri": uri, "version": 2});
    let notification =
        |method: &str, params: Value| json!({"jsonrpc": "2.0", "method": method, "params": params});
    match choices.below(10) {
        0 => notification(
            "textDocument/didOpen",
            json!({"textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": text}}),
        ),
        1..=3 => {
            let by = choices.one_of(&ODD);
            let change = if choices.once_in(3) {
                json!({"text": design(choices)})
            } else {
                json!({"range": range(text, choices), "text": by})
            };
            notification(
                "textDocument/didChange",
                json!({"textDocument": document, "contentChanges": [change]}),
            )
        }
        4 => {
            let method = choices.one_of(&[
                "textDocument/didClose",
                "textDocument/didSave",
                "workspace/didChangeConfiguration",
                "workspace/didChangeWatchedFiles",
                "$/cancelRequest",
                "initialized",
            ]);
            let settings = json!({"before": "drilling", "folders": 3, "codes": ["x"], "level": ""});
            let params = json!({"textDocument": document, "settings": settings, "id": *id, "changes": [{"uri": uri, "type": 2}]});
            notification(method, params)
        }
        _ => {
            *id += 1;
            let name = choices.one_of(&["wide", "", "a b", "\u{202e}", "none", "é"]);
            let params = json!({
                "textDocument": document,
                "position": position(text, choices),
                "range": range(text, choices),
                "newName": name,
                "query": name,
                "context": {"includeDeclaration": true, "diagnostics": [], "only": ["quickfix"]},
            });
            json!({"jsonrpc": "2.0", "id": *id, "method": choices.one_of(&METHODS), "params": params})
        }
    }
}

fn framed(message: &str) -> String {
    format!("Content-Length: {}\r\n\r\n{message}", message.len())
}

#[test]
fn any_messages_are_answered_or_refused() {
    fuzz("messages", 1, 160, |choices| {
        let text = if choices.once_in(3) { mutated(&PACKS, choices) } else { design(choices) };
        let encodings = *choices.member(&ENCODINGS);
        let capabilities = json!({"general": {"positionEncodings": encodings}});
        let hello = json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {"processId": null, "rootUri": null, "capabilities": capabilities}});
        let open = |uri: &str| {
            let item = json!({"uri": uri, "languageId": "yaml", "version": 1, "text": text});
            json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": item}})
        };
        let mut script = framed(&hello.to_string());
        script.push_str(&framed(&open(choices.one_of(&URIS)).to_string()));
        let mut id = 1;
        let mut asked = Vec::new();
        for _ in 0..12 {
            if choices.is_out() {
                break;
            }
            let one = message(&mut id, &text, choices);
            if choices.once_in(12) {
                // A message that is cut off, or says a wrong length.
                script.push_str(&format!("Content-Length: {}\r\n\r\n{one}", choices.below(4000)));
                break;
            }
            asked.extend(one["id"].as_i64());
            let is_over = one["method"] == "shutdown";
            script.push_str(&framed(&one.to_string()));
            if is_over {
                break;
            }
        }
        let mut out = Vec::new();
        let code = serve(Cursor::new(script.clone().into_bytes()), &mut out, Nowhere, Options::on(TRIAL_DAY));
        assert!(code <= 1, "{code}");
        let out = String::from_utf8(out).unwrap();
        let bodies = out.split("Content-Length: ").skip(1).map(|part| part.split_once("\r\n\r\n").unwrap().1);
        let all: Vec<Value> = bodies.map(|body| serde_json::from_str(body).unwrap()).collect();
        for id in asked {
            let answers = all.iter().filter(|one| one["id"] == id && one["method"].is_null()).count();
            assert_eq!(answers, 1, "{id} has {answers} answers: {script}\n{out}");
        }
    });
}
