//! Any bytes give an answer or an error, and times that never fall.
#![cfg(test)]

use logs::{Options, read_csv};
use proptest::prelude::*;

fn holds(bytes: &[u8]) {
    if let Ok(recording) = read_csv(bytes, &Options::default()) {
        assert!(recording.kept <= recording.rows);
        assert!(recording.duration_s.is_finite() && recording.duration_s >= 0.0);
        for channel in &recording.channels {
            assert!(channel.samples.len() <= recording.kept);
            assert!(channel.samples.windows(2).all(|w| w[1].0 >= w[0].0));
            assert!(channel.samples.iter().all(|s| s.0.is_finite() && s.1.is_finite()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        holds(&bytes);
    }

    #[test]
    fn anything_like_a_table(
        text in "(time|t|Zeit|a)?[,;|\t](v|\"|x \\[kPa\\])\n([0-9:,.;|e\t\"\n+-]|NaN|1e308|-1e308|\\PC){0,200}"
    ) {
        holds(text.as_bytes());
    }

    #[test]
    fn any_times(times in proptest::collection::vec(-1e3_f64..1e3, 1..60)) {
        let rows: Vec<String> = times.iter().map(|t| format!("{t},{t}")).collect();
        holds(format!("time_s,v\n{}", rows.join("\n")).as_bytes());
    }
}
