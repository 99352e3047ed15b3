//! Runs a target over random lists of choices: a short run of the same inputs each time, a long one where it is asked for.

use std::cell::Cell;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Once};
use std::time::{Duration, Instant};

use proptest::collection::vec;
use proptest::prelude::any;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestRng, TestRunner};

use super::choices::Choices;

/// No input may take so long: a thousand times what any takes that was seen, for machines that have other work.
const LONGEST: Duration = Duration::from_secs(60);
/// So many inputs of one seed.
const ROUND: u32 = 64;

fn number_of(variable: &str) -> Option<u64> {
    std::env::var(variable).ok()?.parse().ok()
}

/// An input as a failure names it, and the other way round.
fn named(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn of_name(name: &str) -> Vec<u8> {
    let digits: Vec<u8> = name.bytes().filter_map(|b| (b as char).to_digit(16)).map(|d| d as u8).collect();
    digits.chunks_exact(2).map(|pair| pair[0] << 4 | pair[1]).collect()
}

/// Ends the run when one input takes too long. The input lies in the file that was written before.
struct Watch {
    over: Arc<AtomicBool>,
    started: Arc<AtomicU64>,
    epoch: Instant,
}

impl Watch {
    fn over_target(target: &'static str, file: PathBuf) -> Self {
        let watch =
            Self { over: Arc::default(), started: Arc::new(AtomicU64::new(0)), epoch: Instant::now() };
        let (over, started, epoch) = (Arc::clone(&watch.over), Arc::clone(&watch.started), watch.epoch);
        std::thread::spawn(move || {
            while !over.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(500));
                let since = Duration::from_millis(started.load(Ordering::Relaxed));
                if epoch.elapsed().saturating_sub(since) > LONGEST && !over.load(Ordering::Relaxed) {
                    eprintln!(
                        "fuzz {target}: an input takes longer than {LONGEST:?}; it is in {}",
                        file.display()
                    );
                    std::process::abort();
                }
            }
        });
        watch
    }

    fn begins(&self) {
        let now = u64::try_from(self.epoch.elapsed().as_millis()).unwrap_or(u64::MAX);
        self.started.store(now, Ordering::Relaxed);
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
    }
}

thread_local! {
    /// Whether a panic on this thread is one of many, on the way to the shortest input that panics.
    static IS_QUIET: Cell<bool> = const { Cell::new(false) };
}

/// Leaves out what the search for a shorter input would print.
fn quieten() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let usual = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |about| {
            if !IS_QUIET.get() {
                usual(about);
            }
        }));
    });
}

/// Holds a property of any input to many. `rounds` times 64 inputs are a short run; `longest` is the most choices of an input.
///
/// What goes wrong is made as short as it can be, and shown with the name of the input.
pub(super) fn fuzz(target: &'static str, rounds: u32, longest: usize, property: impl Fn(&mut Choices<'_>)) {
    if let Ok(name) = std::env::var("FUZZ_AGAIN") {
        property(&mut Choices::new(&of_name(&name)));
        return;
    }
    quieten();
    let seconds = number_of("FUZZ_SECONDS").map(Duration::from_secs);
    let first = number_of("FUZZ_SEED").unwrap_or(1);
    let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("fuzz-{target}"));
    let watch = Watch::over_target(target, file.clone());
    let start = Instant::now();
    let mut round = 0_u64;
    let done = Cell::new(0_u64);
    loop {
        let is_over = match seconds {
            Some(seconds) => start.elapsed() >= seconds,
            None => round >= u64::from(rounds),
        };
        if is_over {
            break;
        }
        let mut seed = [0; 32];
        seed[..8].copy_from_slice(&first.to_le_bytes());
        seed[8..16].copy_from_slice(&round.to_le_bytes());
        let config = Config { cases: ROUND, failure_persistence: None, ..Config::default() };
        let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
        let mut runner = TestRunner::new_with_rng(config, rng);
        let failed = runner.run(&vec(any::<u8>(), 0..longest), |bytes| {
            // An input that ends the process is found here.
            if seconds.is_some() {
                std::fs::write(&file, named(&bytes)).map_err(|e| TestCaseError::fail(e.to_string()))?;
            }
            watch.begins();
            IS_QUIET.set(true);
            property(&mut Choices::new(&bytes));
            IS_QUIET.set(false);
            done.set(done.get() + 1);
            Ok(())
        });
        IS_QUIET.set(false);
        if let Err(error) = failed {
            let words = match error {
                proptest::test_runner::TestError::Fail(reason, bytes) => {
                    format!("{reason}\nFUZZ_AGAIN={}", named(&bytes))
                }
                proptest::test_runner::TestError::Abort(reason) => reason.to_string(),
            };
            panic!("fuzz {target}, after {} inputs, seed {first}, round {round}: {words}", done.get());
        }
        round += 1;
    }
    if seconds.is_some() {
        eprintln!("fuzz {target}: {} inputs in {:.0} s", done.get(), start.elapsed().as_secs_f64());
    }
    assert!(done.get() > 0, "{target}: nothing was tried");
}
