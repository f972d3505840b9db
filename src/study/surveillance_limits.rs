//! What the keys of `[freedom]` and `[sampling]` may be.

use crate::study::study_file::Study;

impl Study {
    /// The first value of these tables that is not possible: key, value and what is allowed.
    pub(crate) fn wrong_surveillance(&self) -> Option<(String, String, String)> {
        let (f, s) = (&self.freedom, &self.sampling);
        let shares = [
            ("freedom.prior", f.prior),
            ("freedom.introduction_per_year", f.introduction_per_year),
            ("freedom.prior_after_infection", f.prior_after_infection),
            ("freedom.target", f.target),
        ];
        for (key, v) in shares {
            // No introduction is a statement somebody may want to make; certainty beforehand is not.
            let allowed = if key == "freedom.introduction_per_year" || key == "freedom.prior_after_infection"
            {
                (0.0..1.0).contains(&v)
            } else {
                v > 0.0 && v < 1.0
            };
            if !allowed {
                return Some((key.into(), v.to_string(), "it lies above 0 and below 1".into()));
            }
        }
        let factors = [
            ("freedom.prior_range", f.prior_range),
            ("freedom.introduction_range", f.introduction_range),
            ("freedom.design_force_of_infection_range", f.design_force_of_infection_range),
            ("freedom.sensitivity_range", f.sensitivity_range),
        ];
        for (key, v) in factors {
            if !(1.0..=20.0).contains(&v) {
                return Some((key.into(), v.to_string(), "write 1 (known exactly) to 20".into()));
            }
        }
        if !(1..=1000).contains(&f.design_foci) {
            return Some(("freedom.design_foci".into(), f.design_foci.to_string(), "write 1 to 1000".into()));
        }
        for (class, risk) in &f.relative_risk {
            if !(0.0..=1000.0).contains(risk) {
                return Some((
                    format!("freedom.relative_risk.{class}"),
                    risk.to_string(),
                    "write 0 to 1000 times the risk of other land".into(),
                ));
            }
        }
        if !f.relative_risk.is_empty() && self.areas.cover.is_none() {
            let named: Vec<&str> = f.relative_risk.keys().map(String::as_str).collect();
            let suggested_correction =
                "name the land cover as areas.cover, or leave the risks out".to_string();
            return Some(("freedom.relative_risk".into(), named.join(", "), suggested_correction));
        }
        if !(1..=100_000).contains(&s.pigs) {
            return Some(("sampling.pigs".into(), s.pigs.to_string(), "write 1 to 100000".into()));
        }
        if !(1..=1_000_000).contains(&s.most_pigs) {
            return Some(("sampling.most_pigs".into(), s.most_pigs.to_string(), "write 1 to 1000000".into()));
        }
        let (youngest, oldest) = (self.exposure.start_months, self.exposure.max_age_months);
        if !(s.age_months > youngest && s.age_months <= oldest) {
            return Some((
                "sampling.age_months".into(),
                s.age_months.to_string(),
                format!("write an age above exposure.start_months, {youngest}, and up to {oldest} months"),
            ));
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use crate::study::study_file::Study;

    #[test]
    fn defaults_are_possible_and_what_is_not_is_named() {
        let study = |more: &str| {
            let text =
                format!("[study]\nname = \"A\"\ncrs = \"EPSG:2193\"\n[records]\npigs = \"p.csv\"\n{more}\n");
            Study::parse(&text, "study.toml")
        };
        study("").unwrap();
        study("[freedom]\nintroduction_per_year = 0\nprior_range = 1\n[sampling]\nage_months = 8").unwrap();
        for (more, named) in [
            ("[freedom]\nprior = 1.0", "freedom.prior = 1 "),
            ("[freedom]\nintroduction_per_year = -0.1", "freedom.introduction_per_year = -0.1"),
            ("[freedom]\nsensitivity_range = 0.5", "freedom.sensitivity_range = 0.5"),
            ("[freedom]\ndesign_foci = 0", "freedom.design_foci = 0"),
            ("[freedom.relative_risk]\nforest = 2.0", "freedom.relative_risk = forest"),
            ("[sampling]\npigs = 0", "sampling.pigs = 0"),
            ("[sampling]\nage_months = 2", "sampling.age_months = 2"),
        ] {
            let said = study(more).unwrap_err().to_string();
            assert!(said.contains(named), "{said}");
        }
    }
}
