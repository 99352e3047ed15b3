//! The loop: messages in, answers out, and reviews when nothing waits.

use std::collections::VecDeque;
use std::io::{BufRead, Write};
use std::sync::mpsc::{Receiver, TryRecvError, channel};

use lsp_server::{ErrorCode, Message, RequestId, Response};

use super::framing::{self, Incoming};
use super::session::Session;
use super::workspace::Workspace;
use crate::review::Options;

/// Answers an editor until it says that this is the end, or is gone. `input` and `output` carry the protocol; designs are reviewed as
/// `options` say, where the editor's settings say nothing else.
///
/// Returns the exit code that the protocol asks for: 0 after `shutdown`, else 1.
pub fn serve<W: Workspace>(
    mut input: impl BufRead + Send + 'static,
    output: &mut dyn Write,
    workspace: W,
    options: Options,
) -> u8 {
    let (sender, receiver) = channel();
    // Texts come in while a review is under way, so that the newest one is reviewed next and not each in turn.
    std::thread::spawn(move || {
        while let Some(incoming) = framing::next(&mut input) {
            if sender.send(incoming).is_err() {
                break;
            }
        }
    });
    let mut session = Session::new(output, workspace, options);
    let mut queue = VecDeque::new();
    while let Some(incoming) = next(&receiver, &mut queue, &mut session) {
        match incoming {
            Incoming::Message(message) => take(message, &queue, &mut session),
            Incoming::NoJson(why) => session.send_error_without_id(ErrorCode::ParseError, &why),
            Incoming::NoMessage(why) => session.send_error_without_id(ErrorCode::InvalidRequest, &why),
        }
        if session.is_over() {
            break;
        }
    }
    session.exit_code()
}

/// The next message. While none waits, what is still to be reviewed is reviewed, one design at a time.
fn next<W: Workspace>(
    receiver: &Receiver<Incoming>,
    queue: &mut VecDeque<Incoming>,
    session: &mut Session<'_, W>,
) -> Option<Incoming> {
    loop {
        loop {
            match receiver.try_recv() {
                Ok(incoming) => queue.push_back(incoming),
                Err(TryRecvError::Empty) => break,
                // What came before the end is still answered.
                Err(TryRecvError::Disconnected) => return queue.pop_front(),
            }
        }
        if let Some(incoming) = queue.pop_front() {
            return Some(incoming);
        }
        if !session.work() {
            return receiver.recv().ok();
        }
    }
}

fn take<W: Workspace>(message: Message, queue: &VecDeque<Incoming>, session: &mut Session<'_, W>) {
    match message {
        Message::Request(request) if is_cancelled(&request.id, queue) => {
            let words = "cancelled by the client".to_owned();
            session.send(Response::new_err(request.id, ErrorCode::RequestCanceled as i32, words));
        }
        Message::Request(request) => {
            let response_result = session.answer(&request.method, request.params);
            session.send(Response { id: request.id, response_result });
        }
        Message::Notification(notification) => session.notice(&notification.method, notification.params),
        Message::Response(response) => session.answered(&response.id, response.response_result.ok()),
    }
}

/// Whether a request is cancelled by a message that waits behind it.
fn is_cancelled(id: &RequestId, queue: &VecDeque<Incoming>) -> bool {
    queue.iter().any(|incoming| match incoming {
        Incoming::Message(Message::Notification(n)) if n.method == "$/cancelRequest" => {
            let cancelled = n.params.get("id").cloned().map(serde_json::from_value::<RequestId>);
            matches!(cancelled, Some(Ok(cancelled)) if cancelled == *id)
        }
        _ => false,
    })
}
