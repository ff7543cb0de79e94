//! What the system tells of this process.

/// Most memory of this process, MB, where the system tells.
pub(crate) fn peak_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}

/// Processor time of this process, s, where the system tells: hundredths behind the name, which
/// ends with a bracket.
pub(crate) fn cpu_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = text.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |at: usize| fields.get(at).and_then(|field| field.parse::<f64>().ok());
    Some((ticks(11)? + ticks(12)?) / 100.0)
}
