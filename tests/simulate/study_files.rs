//! The files of a simulated study: reproducible, and silent on the truth.

use super::small::small;
use pignut::internals::simulate::study_area::simulate;
use pignut::internals::simulate::truth::Truth;
use pignut::internals::simulate::write::write;
use std::path::Path;

fn files(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let names = [
        "study.toml",
        "pigs.csv",
        "zones.geojson",
        "blocks.geojson",
        "cover.geojson",
        "operations.csv",
        "truth/truth.json",
        "truth/pigs.parquet",
    ];
    names.iter().map(|n| (n.to_string(), std::fs::read(folder.join(n)).unwrap())).collect()
}

#[test]
fn the_same_seed_gives_the_same_bytes_and_another_seed_others() {
    let folders: Vec<_> = [7, 7, 8]
        .iter()
        .map(|&seed| {
            let folder = tempfile::tempdir().unwrap();
            write(&simulate(&small(seed)).unwrap(), folder.path()).unwrap();
            folder
        })
        .collect();
    let (a, b, c) = (files(folders[0].path()), files(folders[1].path()), files(folders[2].path()));
    assert!(a == b, "two study areas of one seed differ");
    for name in ["pigs.csv", "zones.geojson", "truth/truth.json", "truth/pigs.parquet"] {
        let of = |all: &[(String, Vec<u8>)]| all.iter().find(|f| f.0 == name).unwrap().1.clone();
        assert!(of(&a) != of(&c), "{name} is the same for two seeds");
    }
}

#[test]
fn the_study_folder_tells_nothing_of_the_truth() {
    let folder = tempfile::tempdir().unwrap();
    let d = simulate(&small(21)).unwrap();
    write(&d, folder.path()).unwrap();
    let study = pignut::internals::study::study_file::Study::read(&folder.path().join("study.toml")).unwrap();
    assert_eq!(study.study.as_of, Some(d.as_of));
    let pigs = std::fs::read_to_string(folder.path().join("pigs.csv")).unwrap();
    assert_eq!(pigs.lines().count(), d.pigs.len() + 1);
    for (name, _) in files(folder.path()).into_iter().filter(|f| !f.0.starts_with("truth/")) {
        let text = std::fs::read_to_string(folder.path().join(&name)).unwrap().to_lowercase();
        for word in ["focus", "foci", "truth", "infect", "hazard"] {
            assert!(!text.contains(word), "{name} holds the word {word}");
        }
    }
    let truth: Truth =
        serde_json::from_slice(&std::fs::read(folder.path().join("truth/truth.json")).unwrap()).unwrap();
    assert_eq!(truth, Truth::of(&d), "the truth file does not give back the truth exactly");
}
