//! The page of a review: links both ways, the right bytes, nothing lost.

use std::collections::BTreeSet;

use serde_json::Value as Json;

use super::{EXAMPLES, file, page_of, printed, select, sound};

fn json_of(design: &str) -> Json {
    serde_json::from_str(&printed(&["review", "--format", "json", design]).0).unwrap()
}

#[test]
fn is_sound_and_exits_as_every_format_does() {
    for (design, code) in EXAMPLES {
        let (text, exit) = printed(&["review", "--format", "html", design]);
        assert_eq!(exit, *code, "{design}");
        let page = sound(&text);
        let verdict = page.select(&select("header .verdict")).next().unwrap().text().collect::<String>();
        assert_eq!(verdict.starts_with("HOLD"), *code == 1, "{verdict}");
        assert_eq!(page.select(&select(".caution")).count(), 2, "the caution stands on top and at the end");
        assert_eq!(page.select(&select(".points li")).count(), 6);
    }
    let both = printed(&["review", "--format", "html", EXAMPLES[0].0, EXAMPLES[2].0]);
    assert_eq!(both.1, 1);
    assert_eq!(sound(&both.0).select(&select("article")).count(), 2);
}

#[test]
fn every_finding_is_listed_pinned_and_marked() {
    let design = EXAMPLES[2].0;
    let page = sound(&page_of(design));
    let report = json_of(design);
    let findings = report["designs"][0]["findings"].as_array().unwrap();
    assert!(findings.len() > 50);
    for (place, finding) in findings.iter().enumerate() {
        let number = place + 1;
        let card =
            page.select(&select(&format!("#d1-f{number}"))).next().unwrap_or_else(|| panic!("no {number}"));
        let text = card.text().collect::<String>();
        assert!(text.contains(finding["rule"].as_str().unwrap()), "{text}");
        // To the part in the drawing, and from there back.
        let part = card.select(&select("a.part")).next().unwrap().value().attr("href").unwrap().to_owned();
        let back = if part == "#d1-part-0" { ".whole".to_owned() } else { part.replace("part-", "at-") };
        let back = page.select(&select(&format!("{back} a[href='#d1-f{number}']"))).next();
        assert!(back.is_some(), "{part} does not lead back to {number}");
        // To each of its bytes, and from their line back.
        let places = finding["places"].as_array().unwrap();
        let links: Vec<&str> =
            card.select(&select("a.place")).map(|a| a.value().attr("data-from").unwrap()).collect();
        assert_eq!(links.len(), places.len());
        for one in places {
            assert!(links.contains(&one["start_byte"].to_string().as_str()));
            let line = page.select(&select(&format!("#d1-L{}", one["line"]))).next().unwrap();
            let leads = line.select(&select(&format!(".refs a[href='#d1-f{number}']"))).next();
            assert!(leads.is_some(), "line {} does not lead to {number}", one["line"]);
        }
    }
}

#[test]
fn marks_cover_the_bytes_they_name() {
    for (design, _) in EXAMPLES {
        let source = file(design);
        let page = sound(&page_of(design));
        let mut covered = BTreeSet::new();
        for mark in page.select(&select(".code .mark")) {
            let at = |name: &str| mark.value().attr(name).unwrap().parse::<usize>().unwrap();
            let (from, to) = (at("data-from"), at("data-to"));
            assert_eq!(mark.text().collect::<String>(), source[from..to], "{design}");
            covered.extend(from..to);
        }
        for finding in json_of(design)["designs"][0]["findings"].as_array().unwrap() {
            for place in finding["places"].as_array().unwrap() {
                let at = |name: &str| usize::try_from(place[name].as_u64().unwrap()).unwrap();
                assert!((at("start_byte")..at("end_byte")).all(|b| covered.contains(&b)), "{place}");
            }
        }
        // The whole text stands there, line by line.
        let lines: Vec<String> =
            page.select(&select(".code .text")).map(|l| l.text().collect::<String>()).collect();
        assert_eq!(lines, source.lines().collect::<Vec<_>>(), "{design}");
    }
}

#[test]
fn plots_tables_and_margins_are_there() {
    let page = sound(&page_of(EXAMPLES[0].0));
    let titles: Vec<String> =
        page.select(&select(".plots figcaption")).map(|c| c.text().collect::<String>()).collect();
    for expected in
        ["Height", "Speed", "acceleration", "Flutter", "The whole flight", "too low the altimeter bay"]
    {
        assert!(titles.iter().any(|t| t.contains(expected)), "{expected} in {titles:?}");
    }
    for curve in page.select(&select(".plot .curve")) {
        let points = curve.value().attr("points").unwrap();
        assert!(
            points.split(' ').count() > 10 && !points.contains("NaN") && !points.contains("inf"),
            "{points}"
        );
    }
    let captions: Vec<String> =
        page.select(&select("caption")).map(|c| c.text().collect::<String>()).collect();
    for expected in [
        "Ejection charges",
        "Shear pins",
        "Vents",
        "Load path",
        "Ground tests",
        "Wiring",
        "Weight and stability",
    ] {
        assert!(captions.iter().any(|t| t.contains(expected)), "{expected} in {captions:?}");
    }
    let margins = page.select(&select("table.margins tbody tr")).count();
    assert!(margins > 50, "{margins}");
    // A rocket without altimeters has no lag to plot, and no empty frame for it.
    let plain = sound(&page_of(EXAMPLES[1].0));
    assert!(
        plain
            .select(&select(".plots figcaption"))
            .all(|c| !c.text().collect::<String>().contains("altimeter"))
    );
}

#[test]
fn the_landing_plan_and_the_timeline_are_drawn_and_described() {
    for (design, _) in EXAMPLES {
        let page = sound(&page_of(design));
        let plan = page.select(&select("svg.plan")).next().unwrap();
        assert_eq!(plan.value().attr("role"), Some("img"));
        let words = |of: &str| plan.select(&select(of)).next().unwrap().text().collect::<String>();
        assert_eq!(words("title"), "Landing plan");
        let described = words("desc");
        for expected in ["as planned", "nothing opens", "downwind"] {
            assert!(described.contains(expected), "{design}: {described}");
        }
        let labels = plan.select(&select("text.label")).count();
        assert_eq!(labels, plan.select(&select("g.place")).count());
        let all = plan.html();
        assert!(!all.contains("NaN") && !all.contains("inf"), "{design}: {all}");
        // What is drawn lies on the drawing.
        let size: Vec<f64> = plan
            .value()
            .attr("viewbox")
            .or(plan.value().attr("viewBox"))
            .unwrap()
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        for dot in plan.select(&select(".place circle")) {
            let of = |name: &str| dot.value().attr(name).unwrap().parse::<f64>().unwrap();
            assert!((0.0..=size[2]).contains(&of("cx")) && (0.0..=size[3]).contains(&of("cy")), "{design}");
        }
        let rows = |title: &str| {
            let tables: Vec<_> = page.select(&select("table")).collect();
            let found = tables.iter().find(|table| {
                table.select(&select("caption")).any(|c| c.text().collect::<String>().starts_with(title))
            });
            found.unwrap_or_else(|| panic!("no {title}")).select(&select("tbody tr")).count()
        };
        assert_eq!(rows("Landing places"), labels);
        assert!(rows("Timeline") >= 7);
    }
}

#[test]
fn what_cannot_be_plotted_says_why() {
    let page = sound(&page_of("rules/specimens/dual_deployment.rocket.yaml"));
    let lacking: Vec<String> =
        page.select(&select(".lacking")).map(|c| c.text().collect::<String>()).collect();
    let plots = page.select(&select(".plots figure")).count();
    assert!(plots > 0 || lacking.iter().any(|l| l.contains("is not written down")), "{lacking:?}");
}

#[test]
fn an_unreadable_file_is_reported_on_the_page() {
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("bad.rocket.yaml");
    std::fs::write(&path, "holdpoint: 1\nnmae: Bittern\nsections: {nose: {mass: 3}}\n").unwrap();
    let (text, code) = printed(&["review", "--format", "html", path.to_str().unwrap()]);
    assert_eq!(code, 2);
    let page = sound(&text);
    let reported = page.select(&select(".problems")).next().unwrap().text().collect::<String>();
    assert!(reported.contains("`nmae`") && reported.contains(":2:1"), "{reported}");
    assert!(
        text.contains("not one part has a known place") || text.contains("Not one part has a known place")
    );
}
