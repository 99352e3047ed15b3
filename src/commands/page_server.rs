//! One page on the loopback interface, for a browser on this machine: behind a random port and a random word in its path.
//!
//! Other programs of this machine can reach a loopback port, and so can pages of other sites that a browser has open. The word
//! keeps out whoever was not told it; the `Host` of a request keeps out sites that had their name point here, and its `Origin`
//! the scripts of others. Nothing is read from a request beyond its head, and the page is all that can be asked for.

use std::io::{self, Read, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// A head that is longer is none of a browser's.
const LARGEST_HEAD: usize = 16 << 10;
/// So long a request is waited for.
const PATIENCE: Duration = Duration::from_secs(5);
/// So often a browser that waits is written to, to see whether it is still there.
const SIGN_OF_LIFE: Duration = Duration::from_secs(15);
/// So many connections are served at a time; a browser has a few.
const CONNECTIONS: usize = 32;

/// A page that is served until the program ends.
pub(super) struct PageServer {
    shared: Arc<Shared>,
}

/// What the threads of connections share.
struct Shared {
    port: u16,
    token: String,
    shown: Mutex<Shown>,
    changed: Condvar,
    connections: AtomicUsize,
}

/// The page as it is now.
#[derive(Default)]
struct Shown {
    page: Arc<[u8]>,
    version: u64,
}

impl Shared {
    /// A thread that panicked has left the page whole: it is swapped in one step.
    fn shown(&self) -> MutexGuard<'_, Shown> {
        self.shown.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A random word of 128 bits.
///
/// # Errors
/// Where the system has no random numbers.
pub(super) fn random_word() -> io::Result<String> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes).map_err(io::Error::from)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

impl PageServer {
    /// Begins to serve, on a port that the system chooses.
    ///
    /// # Errors
    /// Where no port can be had, no thread, or no random number.
    pub(super) fn start() -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
        let shared = Arc::new(Shared {
            port: listener.local_addr()?.port(),
            token: random_word()?,
            shown: Mutex::default(),
            changed: Condvar::new(),
            connections: AtomicUsize::new(0),
        });
        let served = Arc::clone(&shared);
        std::thread::Builder::new().name("page".to_owned()).spawn(move || listen(&listener, &served))?;
        Ok(Self { shared })
    }

    /// Where the page is.
    pub(super) fn url(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.shared.port, self.shared.token)
    }

    /// Shows another page, of a version that no page before it had.
    pub(super) fn show(&self, version: u64, page: Vec<u8>) {
        *self.shared.shown() = Shown { page: page.into(), version };
        self.shared.changed.notify_all();
    }
}

fn listen(listener: &TcpListener, shared: &Arc<Shared>) {
    for stream in listener.incoming().filter_map(Result::ok) {
        if shared.connections.fetch_add(1, Ordering::Relaxed) >= CONNECTIONS {
            shared.connections.fetch_sub(1, Ordering::Relaxed);
            continue;
        }
        let served = Arc::clone(shared);
        let thread = std::thread::Builder::new().spawn(move || {
            // A browser that went away is no error of ours.
            let _ = answer(stream, &served);
            served.connections.fetch_sub(1, Ordering::Relaxed);
        });
        if thread.is_err() {
            shared.connections.fetch_sub(1, Ordering::Relaxed);
        }
    }
}

/// What a request asks for.
enum Asked {
    Page,
    Events,
}

/// Reads a request and answers it.
fn answer(mut stream: TcpStream, shared: &Shared) -> io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let head = read_head(&mut stream)?;
    match asked(&head, shared) {
        Err(status) => {
            write!(stream, "HTTP/1.1 {status}\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")
        }
        Ok(Asked::Page) => {
            let page = Arc::clone(&shared.shown().page);
            write!(
                stream,
                "HTTP/1.1 200 OK\r\nContent-Type: text/html; charset=utf-8\r\nContent-Length: {}\r\n{HEADERS}\r\n",
                page.len()
            )?;
            stream.write_all(&page)
        }
        Ok(Asked::Events) => {
            write!(stream, "HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\n{HEADERS}\r\n")?;
            tell_versions(&mut stream, shared)
        }
    }
}

/// Nothing of it is kept, framed, told to others, or taken for another sort of file. What the page may do it says itself.
const HEADERS: &str = "Cache-Control: no-store\r\nContent-Security-Policy: frame-ancestors 'none'\r\n\
    Referrer-Policy: no-referrer\r\nX-Content-Type-Options: nosniff\r\n\
    Cross-Origin-Resource-Policy: same-origin\r\nConnection: close\r\n";

/// The bytes of a request up to the empty line, or the first so many.
fn read_head(stream: &mut impl Read) -> io::Result<Vec<u8>> {
    let mut head = Vec::new();
    let mut some = [0; 2048];
    while head.len() < LARGEST_HEAD && !head.windows(4).any(|four| four == b"\r\n\r\n") {
        let read = stream.read(&mut some)?;
        if read == 0 {
            break;
        }
        head.extend_from_slice(some.get(..read).unwrap_or(&[]));
    }
    Ok(head)
}

/// What a request asks for, or the status of its refusal.
fn asked(head: &[u8], shared: &Shared) -> Result<Asked, &'static str> {
    let mut headers = [httparse::EMPTY_HEADER; 64];
    let mut request = httparse::Request::new(&mut headers);
    if !matches!(request.parse(head), Ok(httparse::Status::Complete(_))) {
        return Err("400 Bad Request");
    }
    let own = [format!("127.0.0.1:{}", shared.port), format!("localhost:{}", shared.port)];
    let values = |name: &str| {
        let mine = request.headers.iter().filter(|header| header.name.eq_ignore_ascii_case(name));
        mine.map(|header| header.value).collect::<Vec<&[u8]>>()
    };
    let hosts = values("Host");
    if hosts.len() != 1 || !own.iter().any(|own| hosts.first() == Some(&own.as_bytes())) {
        return Err("421 Misdirected Request");
    }
    let is_own = |origin: &[u8]| {
        own.iter().any(|own| origin.strip_prefix(b"http://").is_some_and(|rest| rest == own.as_bytes()))
    };
    if !values("Origin").into_iter().all(is_own) {
        return Err("403 Forbidden");
    }
    let path = request.path.unwrap_or_default();
    let asked = path.strip_prefix('/').and_then(|rest| rest.split_once('/'));
    let Some((_, asked)) = asked.filter(|(word, _)| same(word, &shared.token)) else {
        return Err("403 Forbidden");
    };
    if request.method != Some("GET") {
        return Err("405 Method Not Allowed");
    }
    match asked {
        "" => Ok(Asked::Page),
        "events" => Ok(Asked::Events),
        _ => Err("404 Not Found"),
    }
}

/// Whether two words are the same, in a time that does not tell how much of them is.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len() && one.bytes().zip(other.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
}

/// Tells the version now and each later one, until nobody listens.
fn tell_versions(stream: &mut impl Write, shared: &Shared) -> io::Result<()> {
    let mut told = None;
    loop {
        let shown = shared.shown();
        let waited = shared.changed.wait_timeout_while(shown, SIGN_OF_LIFE, |s| told == Some(s.version));
        let version = waited.unwrap_or_else(PoisonError::into_inner).0.version;
        if told == Some(version) {
            stream.write_all(b": still here\n\n")?;
        } else {
            write!(stream, "retry: 1000\ndata: {version}\n\n")?;
            told = Some(version);
        }
        stream.flush()?;
    }
}
