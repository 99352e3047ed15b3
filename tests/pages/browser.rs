//! A page in a real browser, where one is found: nothing goes wrong in it and nothing is asked of the network.

use std::path::Path;
use std::process::Command;

use serde_json::Value as Json;

use super::skips::skipped;
use super::{EXAMPLES, page_of};

/// The browser's program. Where there is none, a test says so and ends.
pub(super) fn browser() -> Option<&'static str> {
    let found = ["chromium", "chromium-browser", "google-chrome"]
        .into_iter()
        .find(|name| Command::new(name).arg("--version").output().is_ok_and(|o| o.status.success()));
    if found.is_none() {
        skipped("no headless browser is installed, so no page was opened in one");
    }
    found
}

pub(super) fn run(browser: &str, folder: &Path, arguments: &[&str]) -> (String, String) {
    let profile = format!("--user-data-dir={}", folder.join("profile").display());
    let output = Command::new(browser)
        .args([
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--hide-scrollbars",
            "--enable-logging=stderr",
            &profile,
        ])
        // What a browser asks for by itself is none of the page's doing.
        .args([
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
        ])
        .args(arguments)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    (
        String::from_utf8_lossy(&output.stdout).into_owned(),
        String::from_utf8_lossy(&output.stderr).into_owned(),
    )
}

/// Every address that the browser's own log of the network names as asked for.
fn asked_for(log: &str) -> Vec<String> {
    let log: Json = serde_json::from_str(log)
        .or_else(|_| serde_json::from_str(&format!("{}]}}", log.trim_end().trim_end_matches(','))))
        .unwrap();
    let mut found = Vec::new();
    for event in log["events"].as_array().unwrap() {
        if let Some(url) = event["params"]["url"].as_str() {
            found.push(url.to_owned());
        }
    }
    found
}

#[test]
fn opens_without_an_error_and_without_a_request() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::TempDir::new().unwrap();
    for (place, (design, _)) in EXAMPLES.iter().enumerate() {
        let text = page_of(design);
        let path = folder.path().join(format!("page-{place}.html"));
        std::fs::write(&path, &text).unwrap();
        let address = format!("file://{}", path.display());
        let log = folder.path().join(format!("net-{place}.json"));
        let net = format!("--log-net-log={}", log.display());
        let (dom, errors) = run(browser, folder.path(), &[&net, "--dump-dom", &address]);
        assert!(dom.contains("</html>") && dom.matches("class=\"line\"").count() > 50, "{dom}");
        assert!(!errors.contains("CONSOLE"), "{errors}");
        let asked = asked_for(&std::fs::read_to_string(&log).unwrap());
        let outside: Vec<&String> = asked.iter().filter(|url| url.starts_with("http")).collect();
        // A browser may ask its maker for news of its own accord; no page of ours names such an address.
        for url in outside {
            assert!(!text.contains(url.as_str()), "{url}");
        }
    }
}

#[test]
fn prints_on_either_paper() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::TempDir::new().unwrap();
    for (paper, size) in [("A4", [594.95, 841.92]), ("letter", [612.0, 792.0])] {
        let text = page_of(EXAMPLES[0].0).replace("</style>", &format!("@page {{ size: {paper}; }}</style>"));
        let path = folder.path().join("page.html");
        std::fs::write(&path, &text).unwrap();
        let pdf = folder.path().join("page.pdf");
        let to = format!("--print-to-pdf={}", pdf.display());
        run(browser, folder.path(), &["--no-pdf-header-footer", &to, &format!("file://{}", path.display())]);
        let bytes = std::fs::read(&pdf).unwrap();
        let plain = String::from_utf8_lossy(&bytes);
        let boxes: Vec<&str> =
            plain.split("/MediaBox [").skip(1).filter_map(|t| t.split(']').next()).collect();
        assert!(boxes.len() > 3, "{} pages", boxes.len());
        for one in boxes {
            let sides: Vec<f64> = one.split_whitespace().map(|n| n.parse().unwrap()).collect();
            assert!((sides[2] - size[0]).abs() < 1.5 && (sides[3] - size[1]).abs() < 1.5, "{paper}: {one}");
        }
    }
}

/// Follows every link of a finding, and measures what does not fit on the screen. The page itself forbids scripts, so this one
/// runs in a copy that does not.
const FOLLOW: &str = "<script>
const lost = [];
let followed = 0;
const all = [...document.querySelectorAll('.findings a, .code .mark, .code .refs a, svg.rocket a')];
// A browser puts up with no more than 200 such steps at once.
for (const link of all.filter((_, place) => place % Math.ceil(all.length / 150) === 0)) {
  const id = (link.getAttribute('href') || '').slice(1);
  link.dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true, view: window}));
  followed += 1;
  const there = document.getElementById(id);
  const box = there && there.getBoundingClientRect();
  if (decodeURIComponent(location.hash.slice(1)) !== id || !box || box.width + box.height === 0) lost.push(id);
}
const wide = document.documentElement.scrollWidth - window.innerWidth;
document.title = `followed ${followed}, lost [${lost}], too wide by ${Math.max(0, wide)}`;
</script></body>";

#[test]
fn findings_lead_to_their_places_and_back() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::TempDir::new().unwrap();
    for (design, _) in EXAMPLES {
        let text = page_of(design);
        let (before, after) = text.split_once("<meta http-equiv").unwrap();
        let (_, after) = after.split_once('>').unwrap();
        let path = folder.path().join("page.html");
        std::fs::write(&path, format!("{before}{}", after.replace("</body>", FOLLOW))).unwrap();
        for size in ["--window-size=1400,900", "--window-size=600,900"] {
            let (dom, _) =
                run(browser, folder.path(), &[size, "--dump-dom", &format!("file://{}", path.display())]);
            let title = dom.split("<title>").nth(1).unwrap().split("</title>").next().unwrap();
            assert!(
                title.starts_with("followed ") && title.ends_with("lost [], too wide by 0"),
                "{design} {size}: {title}"
            );
        }
    }
}

/// Writes the height of the page, and of the plots' place in it, into its title.
const HEIGHT: &str = "<script>
const plots = document.querySelector('.plots').getBoundingClientRect().top;
document.title = `high ${document.documentElement.scrollHeight}, plots at ${Math.round(plots)}`;
</script></body>";

#[test]
fn a_draft_is_no_endless_page() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::TempDir::new().unwrap();
    let text = page_of("examples/first-draft.rocket.yaml");
    let (before, after) = text.split_once("<meta http-equiv").unwrap();
    let (_, after) = after.split_once('>').unwrap();
    let path = folder.path().join("page.html");
    std::fs::write(&path, format!("{before}{}", after.replace("</body>", HEIGHT))).unwrap();
    let address = format!("file://{}", path.display());
    let (dom, _) = run(browser, folder.path(), &["--window-size=1400,900", "--dump-dom", &address]);
    let title = dom.split("<title>").nth(1).unwrap().split("</title>").next().unwrap();
    let numbers: Vec<u32> =
        title.split(|c: char| !c.is_ascii_digit()).filter_map(|word| word.parse().ok()).collect();
    let [high, plots] = numbers.as_slice() else { panic!("{title}") };
    assert!(*high > 2_000 && *high <= 12_000, "{title}");
    assert!(*plots < 1_200, "{title}");
}
