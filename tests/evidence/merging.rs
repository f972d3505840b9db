//! Merging shares: pooled and paired figures by hand.

use super::tiny::table;
use crate::studies::misspecification;

/// Two seeds by hand: pooled (1+3)/(10+30), differences 0.1 − 0.05 and 0.1 − 0.2; mean −0.025, s.e. 0.075.
#[test]
fn merging_pools_sums_and_pairs_seeds() {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put(
        "wrong-assumptions-1-of-1.csv",
        "assumption,seed,measure,above,below\nneutral,1,brier,1,20\nneutral,2,brier,6,30\n\
         litters,1,brier,1,10\nlitters,2,brier,3,30\n",
    );
    put(
        "wrong-areas-1-of-1.csv",
        "assumption,seed,zone_id,p_active_any,active\nneutral,1,A1,0.9,true\nlitters,1,A1,0.95,false\n",
    );
    put(
        "wrong-foci-1-of-1.csv",
        "assumption,seed,focus,age_years,radius_m,hazard_at_end_per_year,pigs,positives,cells,\
         p_active_mean,p_active_most,above_inactive\n\
         neutral,1,F1,1.5,900,0.4,12,2,9,0.3,0.6,0.9\nlitters,1,F1,5,2000,0.4,12,2,9,0.1,0.2,\n",
    );
    misspecification::merge(folder.path()).unwrap();
    let rows = table(&folder.path().join("wrong-assumptions.csv"));
    let litters: Vec<f64> = [3, 4, 5, 6, 7].iter().map(|k| rows[1][*k].parse().unwrap()).collect();
    for (got, wanted) in litters.iter().zip([0.1, 40.0, 2.0, -0.025, 0.075]) {
        assert!((got - wanted).abs() < 1e-12, "{litters:?}");
    }
    assert_eq!((&rows[1][0], &rows[1][8], &rows[0][5]), ("litters", "false", ""));
    let page = std::fs::read_to_string(folder.path().join("wrong-assumptions.md")).unwrap();
    for line in [
        "| litters share their lot, in infection and under the gun | no case | no case | \
         0.100 (-0.025 ± 0.075) |",
        "| as assumed | 0.80 to 1.00 | 1 | 0.900 | 1.000 |",
        "| all study areas | 0.80 to 1.00 | 2 | 0.925 | 0.500 |",
        "| as assumed | new and small | 1 | 1 | 0.600 | 0.300 | 0.900 | 12 | 2.0 |",
        "| all study areas | all | 2 | 1 | 0.400 | 0.200 | 0.900 | 12 | 2.0 |",
    ] {
        assert!(page.contains(line), "{line}\nin\n{page}");
    }
    // What the evidence page shows: the chosen measures, and areas of all study areas; raw rows of all
    // shares.
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).unwrap();
    let headlines = read("wrong-headlines.md");
    assert!(
        headlines
            .starts_with("| study area | AUC p_active | Brier score | mean p_active less true share (0) |")
    );
    assert!(headlines.contains(
        "| litters share their lot, in infection and under the gun | no case | 0.100 (-0.025 ± 0.075) |"
    ));
    assert!(read("wrong-areas.md").ends_with("| 0.80 to 1.00 | 2 | 0.925 | 0.500 |\n"));
    assert_eq!(read("wrong-areas.csv"), read("wrong-areas-1-of-1.csv"));
    assert_eq!(read("wrong-foci.csv"), read("wrong-foci-1-of-1.csv"));
    put("wrong-areas-1-of-2.csv", "assumption,seed,zone_id,p_active_any,active\n");
    let fault = misspecification::merge(folder.path()).unwrap_err();
    assert!(
        fault.contains("wrong-areas there are the shares 1/1, 1/2; all shares of one division are needed"),
        "{fault}"
    );
    std::fs::remove_file(folder.path().join("wrong-areas-1-of-2.csv")).unwrap();
    put("wrong-assumptions-1-of-1.csv", "assumption,seed,measure,above,below\nneutral,1,brier,one,20\n");
    let fault = misspecification::merge(folder.path()).unwrap_err();
    assert!(fault.contains("row 2, field 4: \"one\" is not a finite number"), "{fault}");
}
