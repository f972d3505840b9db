//! The report page as a file: what it holds, what it never holds, what it does with hostile text.
//!
//! How it behaves in a browser is checked by `scripts/browser-test`. The study areas here are
//! simulated, hence invented; what is asked of the page comes from outside: the HTML standard for
//! what a browser fetches, JSON (RFC 8259) for what is a number, the project's own contract for sizes.

use crate::common::simulated::write_study;
use pignut::internals::assess::cells::Standing;
use pignut::internals::assess::verdict::Verdict;
use pignut::internals::pipeline::analysis::{Analysis, Prepared, analyse};
use pignut::internals::report::page::{render, render_with};
use pignut::internals::score::score;
use pignut::internals::simulate::scenario::Scenario;
use pignut::internals::study::study_file::{AreaFiles, Study};
use serde_json::Value;
use std::sync::OnceLock;
use std::time::{Duration, Instant};

const HOSTILE_ID: &str = "<script>alert(1)</script>";
const HOSTILE_NAME: &str = "</script><!--<img src=x onerror=\"alert('2')\">&amp;";

/// Largest page allowed, bytes: the contract's 6 MB, for a study area a good deal smaller than the demo.
const LARGEST_BYTES: usize = 6_000_000;
/// Longest time allowed for writing it: the contract's 2 s.
const LONGEST: Duration = Duration::from_secs(2);
/// Half of one of 250 steps a decade: the rounding of a hazard in the page's figures, relative.
const STEP_REL: f64 = 0.0047;

struct Case {
    /// Holds the study, its truth and a result.
    folder: tempfile::TempDir,
    analysis: Analysis,
}

fn small(scenario: Scenario, change: impl Fn(&mut Study), hostile: bool) -> Case {
    let folder = tempfile::tempdir().unwrap();
    let scenario = Scenario { pigs_target: 220, extent_km: 16.0, years: 4, ..scenario };
    write_study(&scenario, folder.path());
    let mut study = Study::read(&folder.path().join("study/study.toml")).unwrap();
    study.run.warmup = 40;
    study.run.trajectories = 40;
    study.run.posterior_samples = 80;
    study.run.chains = 2;
    change(&mut study);
    let analysis = if hostile {
        let mut prepared = Prepared::read(study).unwrap();
        let layout = &mut prepared.layout;
        let records = &mut layout.records;
        let positive =
            records.pigs.iter().position(|p| p.is_positive()).expect("a diseased district has a positive");
        records.pigs[positive].id = HOSTILE_ID.into();
        let clear = records.pigs.iter().position(|p| !p.is_positive()).unwrap();
        records.pigs[clear].id = HOSTILE_NAME.into();
        records.zones[0].name = HOSTILE_NAME.into();
        records.blocks[0].name = HOSTILE_NAME.into();
        layout.study.study.name = HOSTILE_NAME.into();
        prepared.analyse(&|_| ()).unwrap()
    } else {
        analyse(study, &|_| ()).unwrap()
    };
    Case { folder, analysis }
}

/// A diseased study area with hostile names in every place a name can stand.
fn hostile() -> &'static Case {
    static CASE: OnceLock<Case> = OnceLock::new();
    // A target that so few pigs can meet, so that cells differ in standing.
    CASE.get_or_init(|| small(Scenario::fresh(5), |s| s.coverage.target = 0.05, true))
}

/// No disease, no areas, no blocks: everything that can be absent is.
fn bare() -> &'static Case {
    static CASE: OnceLock<Case> = OnceLock::new();
    CASE.get_or_init(|| small(Scenario::disease_free(6), |s| s.areas = AreaFiles::default(), false))
}

fn page() -> &'static str {
    static PAGE: OnceLock<String> = OnceLock::new();
    PAGE.get_or_init(|| render(&hostile().analysis, None).unwrap())
}

/// The figures the page's script reads.
fn figures(page: &str) -> Value {
    let start = "<script type=\"application/json\" id=\"figures\">";
    let from = page.find(start).expect("the page holds its figures") + start.len();
    let to = from + page[from..].find("</script>").unwrap();
    serde_json::from_str(&page[from..to]).expect("the figures are JSON")
}

/// The page without scripts: what a reader sees.
fn shown(page: &str) -> String {
    let mut out = String::new();
    let mut rest = page;
    while let Some(at) = rest.find("<script") {
        out.push_str(&rest[..at]);
        rest = &rest[at + rest[at..].find("</script>").unwrap() + "</script>".len()..];
    }
    out + rest
}

fn section<'a>(page: &'a str, id: &str) -> &'a str {
    let from = page.find(&format!("<section class=\"way\" id=\"{id}\"")).unwrap();
    &page[from..from + page[from..].find("</section>").unwrap()]
}

/// HTML standard §4.2, §4.8: a browser fetches what `src`, `href`, `url()`, `@import` and their like name.
#[test]
fn nothing_on_the_page_is_fetched() {
    for page in [page(), &render(&bare().analysis, None).unwrap()] {
        let shown = shown(page);
        for attribute in
            [" src=", " srcset=", " action=", " poster=", " data=", "<iframe", "<object", "<embed", "@import"]
        {
            assert!(!shown.replace("&lt;img src=", "").contains(attribute), "{attribute}");
        }
        for link in shown.split(" href=\"").skip(1) {
            assert!(link.starts_with('#') || link.starts_with("data:,\""), "{}", &link[..40]);
        }
        for link in shown.split("url(").skip(1) {
            assert!(link.starts_with('#'), "{}", &link[..40]);
        }
        // Names, not addresses: the SVG namespace, and the map library's own notice of itself.
        for (at, _) in page.match_indices("://") {
            let word = page[..at].rfind(|c: char| !c.is_ascii_alphanumeric()).map_or(0, |i| i + 1);
            let address: String =
                page[word..].chars().take_while(|c| !c.is_whitespace() && !"\"'<)".contains(*c)).collect();
            assert!(
                ["http://www.w3.org/2000/svg", "https://leafletjs.com"].contains(&address.as_str()),
                "{address}"
            );
        }
        assert!(page.contains("default-src 'none'"), "the browser is told to fetch nothing");
        assert!(!page.contains("sourceMappingURL"));
        assert!(
            page.contains("Redistribution and use in source and binary forms"),
            "the library's licence goes along"
        );
    }
}

#[test]
fn hostile_names_are_shown_as_text() {
    let page = page();
    assert!(!page.contains(HOSTILE_ID) && !page.contains(HOSTILE_NAME));
    assert_eq!(page.matches("<script").count(), 3, "figures, library and script");
    assert_eq!(page.matches("</script>").count(), 3);
    assert!(!page.contains("<!--") && !page.contains("<img"));
    // In tables, cut short in the drawing's margin, in the title; the engine writes / as &#x2f;.
    assert!(page.contains("&lt;script&gt;alert(1)&lt;&#x2f;script&gt;</button>"));
    assert!(page.contains("&lt;script&gt;alert(…</text>"));
    assert!(page.contains("<title>&lt;&#x2f;script&gt;"));
    // In the figures the very text comes back.
    let f = figures(page);
    let ids: Vec<&str> = f["positives"].as_array().unwrap().iter().filter_map(|p| p["id"].as_str()).collect();
    assert!(ids.contains(&HOSTILE_ID), "{ids:?}");
    assert_eq!(f["zones"][0]["name"], HOSTILE_NAME);
    assert!(f["clear"]["id"].as_array().unwrap().iter().any(|i| i == HOSTILE_NAME));
    // The page's own script makes text nodes only.
    let own = &page[page.rfind("<script>").unwrap()..];
    for word in [
        "innerHTML",
        "outerHTML",
        "insertAdjacentHTML",
        "document.write",
        "eval(",
        "fetch(",
        "XMLHttpRequest",
    ] {
        assert!(!own.contains(word), "{word}");
    }
}

#[test]
fn no_figure_is_nan_or_infinite() {
    for page in [page(), &render(&bare().analysis, None).unwrap()] {
        let shown = shown(page);
        for word in ["NaN", "Infinity", ">inf<", " inf ", ">-inf", "None", "Some("] {
            assert!(!shown.contains(word), "{word}");
        }
        figures(page);
    }
}

#[test]
fn the_page_is_small_quick_and_the_same_every_time() {
    let start = Instant::now();
    let again = render(&hostile().analysis, None).unwrap();
    let took = start.elapsed();
    assert!(again.len() < LARGEST_BYTES, "{} bytes", again.len());
    assert!(took < LONGEST, "{took:?}");
    assert!(again == page(), "the same analysis gives the same bytes");
}

/// The figures sent to the script are the assessment's own.
#[test]
fn figures_come_back_as_assessed() {
    let analysis = &hostile().analysis;
    let f = figures(page());
    let grid = &analysis.layout.grid;
    assert_eq!(f["rows"], grid.rows);
    assert_eq!(f["cols"], grid.cols);
    assert_eq!(f["periods"].as_array().unwrap().len(), grid.periods());
    let number = |v: &Value| v.as_u64().expect("a step is a whole number") as f64;
    let back = |v: &Value| 1e-6 * 10f64.powf(number(v) / 250.0);
    let mut seen = [0; 4];
    for (k, cell) in analysis.assessment.cells.iter().enumerate() {
        let c = &f["cells"];
        assert!((number(&c["chance"][k]) / 10_000.0 - cell.p_active).abs() <= 0.5e-4);
        assert!((number(&c["coverage"][k]) / 10_000.0 - cell.surveillance_sensitivity).abs() <= 0.5e-4);
        let median = cell.hazard.median().max(1e-6);
        assert!((back(&c["force"][2][k]) / median - 1.0).abs() < STEP_REL, "{median}");
        let standing = [Standing::Active, Standing::Possible, Standing::Quiet, Standing::Unseen]
            [number(&c["standing"][k]) as usize];
        assert_eq!(standing, cell.standing);
        seen[number(&c["standing"][k]) as usize] += 1;
        assert_eq!(c["window"][1][k].is_null(), cell.window.is_none());
        let t = grid.periods() - 1;
        let (r, col) = grid.row_col(k);
        let hazard = analysis.assessment.hazard[grid.at(r, t, col)].median().max(1e-6);
        assert!((back(&f["byPeriod"]["median"][t][k]) / hazard - 1.0).abs() < STEP_REL);
    }
    assert!(seen.iter().filter(|n| **n > 0).count() > 1, "standings differ: {seen:?}");
    let positives = &analysis.assessment.positives;
    assert_eq!(f["positives"].as_array().unwrap().len(), positives.len());
    for (p, sent) in positives.iter().zip(f["positives"].as_array().unwrap()) {
        let cells = |runs: &Value| {
            runs.as_array().unwrap().chunks(2).map(|r| r[1].as_u64().unwrap() as usize).sum::<usize>()
        };
        assert_eq!((cells(&sent["area50"]), cells(&sent["area90"])), (p.area50.len(), p.area90.len()));
        assert_eq!(sent["days"].is_null(), p.infection_days.is_none());
    }
}

#[test]
fn each_way_opens_with_sentences_then_map_table_and_method() {
    let page = page();
    for (id, question) in [("here", "Is it here?"), ("first", "Where first?"), ("looked", "Have we looked?")]
    {
        let s = section(page, id);
        let at = |what: &str| s.find(what).unwrap_or_else(|| panic!("{id} lacks {what}"));
        let order = [
            at(question),
            at("class=\"opening\""),
            at("class=\"map-slot\""),
            at("<table>"),
            at("How this was computed"),
        ];
        assert!(order.is_sorted(), "{id}: {order:?}");
        let opening = &s[order[1]..order[2]];
        let sentences = opening.matches("<p>").count();
        assert!((2..=4).contains(&sentences), "{id} opens with {sentences} sentences");
        assert!(s.contains("class=\"caution\""), "{id} carries its caution");
        assert_eq!(s.matches("<svg ").count(), s.matches("<title id=").count(), "{id}: a title each");
        assert_eq!(s.matches("<svg ").count(), s.matches("<desc id=").count(), "{id}: a description each");
        assert_eq!(s.matches("<table>").count(), s.matches("<caption>").count(), "{id}: a caption each");
        assert!(!s.contains("<th>"), "{id}: every heading cell has a scope");
    }
    // Uncertainty stands beside the figures.
    assert!(["here", "first"].iter().all(|way| section(page, way).contains("90 % credible interval")));
    // Absent is said, not invented.
    assert!(section(page, "here").contains("not estimated: it is stated for areas"));
    let words = page.to_lowercase();
    for doses in ["kg/ha", "g/kg", "mg/", "bait recipe"] {
        assert!(!words.contains(doses), "{doses}");
    }
    assert!(page.contains("they do not replace it"));
}

/// Each area's card says the verdict that was made in the assessment, and no other area's.
#[test]
fn the_cards_say_the_verdicts_that_were_made() {
    let a = &hostile().analysis.assessment;
    let here = section(page(), "here").to_string();
    let cards: Vec<&str> = here.split("<article class=\"card ").skip(1).collect();
    for (i, judged) in a.judgements.iter().enumerate() {
        let of_it = |c: &&&str| c.split("</h3>").next().unwrap().contains(&format!("data-zone=\"{i}\""));
        let found: Vec<&&str> = cards.iter().filter(of_it).collect();
        assert_eq!(found.len(), 1, "one card for area {i}");
        assert!(found[0].starts_with(&format!("{}\"", judged.verdict.word())), "{i}: {judged:?}");
        assert_eq!(Verdict::of(&judged.evidence), judged.verdict);
    }
}

#[test]
fn what_is_absent_is_said_to_be() {
    let page = render(&bare().analysis, None).unwrap();
    assert!(bare().analysis.layout.records.zones.is_empty());
    assert!(section(&page, "first").contains("Not estimated: the study names no control blocks"));
    if bare().analysis.assessment.positives.is_empty() {
        assert!(section(&page, "here").contains("no window is estimated"));
    }
    assert!(section(&page, "here").contains("ranges reach"), "the land that was reached stands for itself");
}

/// Past the limit a coarser mesh is drawn, the page says so, and nothing active is hidden by it.
#[test]
fn a_large_grid_is_drawn_coarser_and_says_so() {
    let analysis = &hostile().analysis;
    let cells = analysis.layout.grid.cells();
    let coarse = render_with(analysis, None, 60).unwrap();
    let f = figures(&coarse);
    let squares = f["cells"]["chance"].as_array().unwrap();
    assert!(squares.len() <= 60 && squares.len() < cells);
    assert!(coarse.contains("Coarser mesh.") && !page().contains("Coarser mesh."));
    let most = squares.iter().filter_map(Value::as_u64).max().unwrap() as f64 / 10_000.0;
    let truth = analysis.assessment.cells.iter().map(|c| c.p_active).fold(0.0, f64::max);
    assert!((most - truth).abs() <= 0.5e-4, "{most} {truth}");
    assert!(f["cells"]["id"].as_array().unwrap().iter().all(|i| i.as_str().unwrap().starts_with('r')));
}

/// With the truth at hand the page shows how its stated chances fared; without it, nothing of the sort.
#[test]
fn reliability_is_shown_when_the_truth_is_known() {
    let case = hostile();
    let result = case.folder.path().join("result");
    // Under its own names the run can be scored against its study area.
    let plain = small(Scenario::fresh(5), |_| (), false);
    let staging = pignut::internals::report::folder::Staging::begin(&result).unwrap();
    pignut::internals::report::write(&plain.analysis, staging, &Default::default()).unwrap();
    let score = score(&result, &plain.folder.path().join("study/truth")).unwrap();
    let with = render(&plain.analysis, Some(&score)).unwrap();
    assert!(with.contains("Were the stated probabilities right?") && with.contains(&score.study_area));
    assert_eq!(
        with.matches("class=\"bin\"").count(),
        score.reliability.iter().filter(|b| b.cells > 0).count()
    );
    assert!(!page().contains("Were the stated probabilities right?"));
}
