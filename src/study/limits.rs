//! What each key of the study file may be.

use crate::study::error::StudyError;
use crate::study::study_file::Study;

impl Study {
    /// Checks every value; `path` is used in messages only.
    ///
    /// # Errors
    /// [`StudyError::OutOfRange`] for the first value that is not possible.
    pub fn check(&self, path: &str) -> Result<(), StudyError> {
        let bad = |key: &str, value: String, allowed: &str| {
            Err(StudyError::OutOfRange { path: path.into(), key: key.into(), value, allowed: allowed.into() })
        };
        let code = self.study.crs.strip_prefix("EPSG:").unwrap_or("");
        if code.is_empty() || !code.bytes().all(|b| b.is_ascii_digit()) {
            return bad(
                "study.crs",
                format!("\"{}\"", self.study.crs),
                "write an EPSG code such as \"EPSG:2193\"",
            );
        }
        if self.study.name.trim().is_empty() {
            return bad("study.name", "\"\"".into(), "give the study a name");
        }
        if self.records.pigs.all().is_empty() {
            return bad("records.pigs", "[]".into(), "name at least one file");
        }
        let a = &self.areas;
        let named = [
            ("areas.zones", &a.zones),
            ("areas.blocks", &a.blocks),
            ("areas.cover", &a.cover),
            ("areas.operations", &a.operations),
        ];
        let pigs = self.records.pigs.all().into_iter().map(|f| ("records.pigs", f));
        let files = named.into_iter().filter_map(|(key, file)| Some((key, file.clone()?)));
        for (key, file) in pigs.chain(files) {
            if file.trim().is_empty() {
                return bad(key, "\"\"".into(), "name a file");
            }
        }
        let p = &self.grid;
        if !(1..=12).contains(&p.period_months) || 12 % p.period_months != 0 {
            return bad("grid.period_months", p.period_months.to_string(), "write 1, 2, 3, 4, 6 or 12");
        }
        let d = &self.dispersal;
        let t = &self.detection;
        let f = &self.field;
        for (key, v) in [
            ("dispersal.share_female", d.share_female),
            ("dispersal.share_male", d.share_male),
            ("dispersal.share_unknown", d.share_unknown),
            ("detection.gross_sensitivity", t.gross_sensitivity),
            ("detection.mandibular_share", t.mandibular_share),
            ("detection.retropharyngeal_share", t.retropharyngeal_share),
            ("detection.parotid_share", t.parotid_share),
            ("detection.one_side_share", t.one_side_share),
            ("detection.unrecorded_share", t.unrecorded_share),
            ("detection.culture_sensitivity", t.culture_sensitivity),
            ("detection.pcr_sensitivity", t.pcr_sensitivity),
            ("detection.histology_sensitivity", t.histology_sensitivity),
            ("field.focus_share", f.focus_share),
        ] {
            if !(0.0..=1.0).contains(&v) {
                return bad(key, v.to_string(), "a share lies between 0 and 1");
            }
        }
        for (key, v) in [
            ("detection.false_lesion", t.false_lesion),
            ("detection.false_lab", t.false_lab),
            ("field.persistence_half_year", f.persistence_half_year),
            ("field.persistence_lower", f.persistence_lower),
            ("coverage.target", self.coverage.target),
        ] {
            if !(v > 0.0 && v < 1.0) {
                return bad(key, v.to_string(), "it lies above 0 and below 1");
            }
        }
        for (key, v, lo, hi, unit) in [
            ("grid.cell_m", p.cell_m, 50.0, 20_000.0, "metres"),
            ("grid.margin_m", p.margin_m, 0.0, 100_000.0, "metres"),
            ("grid.lookback_years", p.lookback_years, 0.5, 30.0, "years"),
            ("recent.months", self.recent.months, 1.0, 120.0, "months"),
            (
                "recent.force_of_infection_threshold",
                self.recent.force_of_infection_threshold,
                1e-6,
                10.0,
                "infections per pig-year",
            ),
            ("recent.local_radius_m", self.recent.local_radius_m, 100.0, 100_000.0, "metres"),
            ("home_range.sigma_female_m", self.home_range.sigma_female_m, 50.0, 50_000.0, "metres"),
            ("home_range.sigma_male_m", self.home_range.sigma_male_m, 50.0, 50_000.0, "metres"),
            ("home_range.sigma_unknown_m", self.home_range.sigma_unknown_m, 50.0, 50_000.0, "metres"),
            ("home_range.drift_m", self.home_range.drift_m, 0.0, 50_000.0, "metres"),
            ("home_range.resident_sigma_m", self.home_range.resident_sigma_m, 50.0, 50_000.0, "metres"),
            ("dispersal.age_start_months", d.age_start_months, 0.0, 60.0, "months"),
            ("dispersal.age_end_months", d.age_end_months, 1.0, 120.0, "months"),
            ("dispersal.mean_m", d.mean_m, 100.0, 200_000.0, "metres"),
            ("exposure.start_months", self.exposure.start_months, 0.0, 24.0, "months"),
            ("exposure.max_age_months", self.exposure.max_age_months, 12.0, 360.0, "months"),
            ("detection.lag_start_months", t.lag_start_months, 0.0, 24.0, "months"),
            ("detection.lag_full_months", t.lag_full_months, 0.0, 36.0, "months"),
            ("detection.resolution_per_year", t.resolution_per_year, 0.0, 5.0, "per year"),
            ("detection.position_radius_m", t.position_radius_m, 0.0, 50_000.0, "metres"),
            ("field.range_m", f.range_m, 500.0, 1_000_000.0, "metres"),
            ("field.sd", f.sd, 0.01, 10.0, "on the latent scale"),
            ("field.level_sd", f.level_sd, 0.01, 10.0, "on the latent scale"),
            ("field.focus_range_m", f.focus_range_m, 100.0, 1_000_000.0, "metres"),
            ("field.range_lower_m", f.range_lower_m, 100.0, 1_000_000.0, "metres"),
            ("field.sd_upper", f.sd_upper, 0.01, 20.0, "on the latent scale"),
            ("field.level_mean", f.level_mean, -20.0, 10.0, "on the latent scale"),
            ("field.operation_mean", f.operation_mean, -20.0, 20.0, "on the latent scale"),
            ("field.operation_sd", f.operation_sd, 0.01, 10.0, "on the latent scale"),
            ("field.possum_half_life_years", f.possum_half_life_years, 0.1, 100.0, "years"),
            ("field.ferret_half_life_years", f.ferret_half_life_years, 0.1, 100.0, "years"),
            (
                "coverage.design_force_of_infection",
                self.coverage.design_force_of_infection,
                1e-4,
                10.0,
                "infections per pig-year",
            ),
            ("coverage.patch_m", self.coverage.patch_m, 50.0, 100_000.0, "metres"),
            ("coverage.window_months", self.coverage.window_months, 1.0, 240.0, "months"),
        ] {
            if !(v >= lo && v <= hi) {
                return bad(key, v.to_string(), &format!("write {lo} to {hi} {unit}"));
            }
        }
        if d.age_end_months <= d.age_start_months {
            return bad(
                "dispersal.age_end_months",
                d.age_end_months.to_string(),
                "it lies above dispersal.age_start_months",
            );
        }
        if t.false_lab > t.false_lesion {
            return bad(
                "detection.false_lab",
                t.false_lab.to_string(),
                "it is at most detection.false_lesion: what is confirmed by mistake is one of those lesions",
            );
        }
        if t.lag_full_months < t.lag_start_months {
            return bad(
                "detection.lag_full_months",
                t.lag_full_months.to_string(),
                "it is not below detection.lag_start_months",
            );
        }
        if let Some((key, value, allowed)) = self.wrong_surveillance() {
            return bad(&key, value, &allowed);
        }
        if let Err((key, value, allowed)) = self.priorities.check() {
            return bad(&key, value, &allowed);
        }
        for (key, v, lo, hi) in [
            ("run.chains", self.run.chains, 1, 64),
            ("run.posterior_samples", self.run.posterior_samples, 20, 100_000),
            ("run.warmup", self.run.warmup, 20, 100_000),
            ("run.trajectories", self.run.trajectories, 20, 1_000_000),
            ("run.threads", self.run.threads, 0, 4096),
        ] {
            if !(lo..=hi).contains(&v) {
                return bad(key, v.to_string(), &format!("write {lo} to {hi}"));
            }
        }
        self.ageing.check(path)
    }
}
