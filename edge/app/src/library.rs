//! The sheets that ship with the program.

/// Name and text of every sheet of the library, by name.
pub(crate) const LIBRARY: &[(&str, &str)] =
    &[("boost-vane-diesel", include_str!("../../../sheets/boost-vane-diesel.toml"))];

/// The text of a sheet of the library.
pub(crate) fn text(name: &str) -> Option<&'static str> {
    LIBRARY.iter().find(|(have, _)| *have == name).map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    use super::LIBRARY;

    #[test]
    fn every_sheet_of_the_folder_ships_and_reads_under_its_name() {
        let folder =
            std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sheets");
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
            .map(|path| path.file_stem().unwrap().to_string_lossy().into_owned())
            .collect();
        names.sort();
        let shipped: Vec<&str> = LIBRARY.iter().map(|(name, _)| *name).collect();
        assert_eq!(names, shipped);
        for (name, text) in LIBRARY {
            assert_eq!(sheet::read(text).sheet.unwrap().id, *name);
        }
    }
}
