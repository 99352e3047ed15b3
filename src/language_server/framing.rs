//! Messages out of a stream of bytes, one after another, whatever stands between them.
//!
//! The reader of `lsp-server` gives up at the first message that is none. This one says so and goes on, since an editor that sends
//! one wrong message goes on too; and it takes no more memory than a design may need.

use std::io::{BufRead, Read};

use lsp_server::Message;

/// A message of more bytes than this is passed over.
const LARGEST: u64 = 32 << 20;
/// A line of a header of more bytes than this is no header.
const LONGEST_LINE: u64 = 4096;

/// What came out of the stream.
#[derive(Debug)]
pub(super) enum Incoming {
    /// A message.
    Message(Message),
    /// Something that is no JSON: why.
    NoJson(String),
    /// JSON that is no message of the protocol: why.
    NoMessage(String),
}

/// The next message; `None` where the stream ends.
pub(super) fn next(input: &mut impl BufRead) -> Option<Incoming> {
    let length = length(input)?;
    if length > LARGEST {
        let passed = std::io::copy(&mut input.take(length), &mut std::io::sink()).ok()?;
        return (passed == length)
            .then(|| Incoming::NoMessage(format!("a message of {length} bytes is too large")));
    }
    let mut bytes = Vec::new();
    input.take(length).read_to_end(&mut bytes).ok()?;
    if bytes.len() as u64 != length {
        return None;
    }
    Some(match serde_json::from_slice::<serde_json::Value>(&bytes) {
        Err(error) => Incoming::NoJson(error.to_string()),
        Ok(json) => match serde_json::from_value(json) {
            Ok(message) => Incoming::Message(message),
            Err(error) => Incoming::NoMessage(error.to_string()),
        },
    })
}

/// The length that the next header states. Lines that are no header are passed over.
fn length(input: &mut impl BufRead) -> Option<u64> {
    let mut stated = None;
    loop {
        let mut line = Vec::new();
        if input.take(LONGEST_LINE).read_until(b'\n', &mut line).ok()? == 0 {
            return None;
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() {
            match stated.take() {
                Some(length) => return Some(length),
                None => continue,
            }
        }
        if let Some((name, value)) = line.split_once(':')
            && name.eq_ignore_ascii_case("content-length")
        {
            stated = value.trim().parse().ok();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn framed(text: &str) -> String {
        format!("Content-Length: {}\r\n\r\n{text}", text.len())
    }

    #[test]
    fn it_goes_on_after_what_is_no_message() {
        let good = framed(r#"{"jsonrpc":"2.0","method":"initialized"}"#);
        let stream = [
            good.as_str(),
            "garbage\r\nContent-Length: nine\r\n\r\n",
            framed("{not json").as_str(),
            framed("[1, 2]").as_str(),
            "Content-Type: x\r\ncontent-length: 40\r\n\r\n{\"jsonrpc\":\"2.0\",\"method\":\"initialized\"}",
            "Content-Length: 400\r\n\r\ntoo short",
        ]
        .concat();
        let mut input = stream.as_bytes();
        let mut kinds = Vec::new();
        while let Some(one) = next(&mut input) {
            kinds.push(match one {
                Incoming::Message(_) => "message",
                Incoming::NoJson(_) => "no json",
                Incoming::NoMessage(_) => "no message",
            });
        }
        assert_eq!(kinds, ["message", "no json", "no message", "message"]);
    }

    #[test]
    fn a_length_beyond_measure_takes_no_memory() {
        let mut input: &[u8] = b"Content-Length: 18446744073709551615\r\n\r\n{}";
        assert!(next(&mut input).is_none());
    }
}
