//! The tables of a sheet and of workshop settings, and the keys that each may hold.

/// A kind of table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Root,
    Settings,
    Sheet,
    Economy,
    Recurrence,
    Moving,
    Unlisted,
    Suspect,
    Item,
    Snag,
    Fastener,
    Seal,
    Fluid,
    Measure,
    Check,
    Reading,
    Recording,
    Band,
    Repair,
    Part,
    Proof,
    Duty,
}

/// What is fixed about a kind of table.
#[derive(Debug)]
struct Shape {
    kind: Kind,
    word: &'static str,
    header: &'static str,
    parent: Option<Kind>,
    tables: &'static [&'static str],
    keys: &'static [&'static str],
}

/// Kinds whose keys a misplaced key of a sheet may belong to.
pub(crate) const PLACES: [Kind; 18] = [
    Kind::Sheet,
    Kind::Economy,
    Kind::Recurrence,
    Kind::Moving,
    Kind::Suspect,
    Kind::Item,
    Kind::Fastener,
    Kind::Snag,
    Kind::Seal,
    Kind::Fluid,
    Kind::Measure,
    Kind::Check,
    Kind::Reading,
    Kind::Recording,
    Kind::Repair,
    Kind::Proof,
    Kind::Duty,
    Kind::Part,
];

impl Kind {
    fn shape(self) -> &'static Shape {
        SHAPES.iter().find(|shape| shape.kind == self).unwrap_or(&SHAPES[0])
    }

    /// What it is called in a remark.
    pub(crate) fn word(self) -> &'static str {
        self.shape().word
    }

    /// The header line that opens it.
    pub(crate) fn header(self) -> &'static str {
        self.shape().header
    }

    /// The kind of table that it lies in.
    pub(crate) fn parent(self) -> Option<Self> {
        self.shape().parent
    }

    /// The keys of tables, which hold further keys.
    pub(crate) fn tables(self) -> &'static [&'static str] {
        self.shape().tables
    }

    /// The keys of values.
    pub(crate) fn keys(self) -> &'static [&'static str] {
        self.shape().keys
    }

    /// Whether it holds that key.
    pub(crate) fn holds(self, key: &str) -> bool {
        self.keys().contains(&key) || self.tables().contains(&key)
    }

    /// Every key that it holds.
    pub(crate) fn all(self) -> impl Iterator<Item = &'static str> {
        self.keys().iter().chain(self.tables()).copied()
    }
}

/// One shape a kind.
static SHAPES: [Shape; 22] = [
    Shape {
        kind: Kind::Root,
        word: "sheet",
        header: "the first header",
        parent: None,
        tables: &[
            "sheet",
            "economy",
            "recurrence",
            "moving",
            "unlisted",
            "suspect",
            "item",
            "check",
            "repair",
            "proof",
            "duty",
        ],
        keys: &[],
    },
    Shape {
        kind: Kind::Settings,
        word: "settings",
        header: "the first header",
        parent: None,
        tables: &["economy"],
        keys: &["has"],
    },
    Shape {
        kind: Kind::Sheet,
        word: "`[sheet]`",
        header: "[sheet]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &[
            "format", "id", "title", "version", "based_on", "codes", "applies", "sources",
        ],
    },
    Shape {
        kind: Kind::Economy,
        word: "`[economy]`",
        header: "[economy]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &[
            "currency",
            "labour_per_hour",
            "bay_per_hour",
            "comeback",
            "pass_on",
            "rust",
            "active",
        ],
    },
    Shape {
        kind: Kind::Recurrence,
        word: "`[recurrence]`",
        header: "[recurrence]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &["seen", "over_km", "over_min", "over_starts", "ends"],
    },
    Shape {
        kind: Kind::Moving,
        word: "`[moving]`",
        header: "[moving]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &["position_min", "tool_min"],
    },
    Shape {
        kind: Kind::Unlisted,
        word: "`[unlisted]`",
        header: "[unlisted]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &["weight"],
    },
    Shape {
        kind: Kind::Suspect,
        word: "suspect",
        header: "[[suspect]]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &["id", "title", "weight", "root"],
    },
    Shape {
        kind: Kind::Item,
        word: "item",
        header: "[[item]]",
        parent: Some(Kind::Root),
        tables: &["snag", "fastener", "seal", "fluid", "measure"],
        keys: &[
            "id",
            "title",
            "behind",
            "strip_min",
            "refit_min",
            "wait_min",
            "refit_parts",
            "goes",
            "cover",
            "position",
            "refit_after",
            "eased_by",
            "caution",
        ],
    },
    Shape {
        kind: Kind::Snag,
        word: "snag",
        header: "[[item.snag]]",
        parent: Some(Kind::Item),
        tables: &[],
        keys: &["title", "p", "minutes", "parts"],
    },
    Shape {
        kind: Kind::Fastener,
        word: "fastener",
        header: "[[item.fastener]]",
        parent: Some(Kind::Item),
        tables: &[],
        keys: &[
            "id",
            "count",
            "kind",
            "thread",
            "class",
            "length_mm",
            "head_mm",
            "torque_nm",
            "angle_deg",
            "stack_mm",
            "hole_mm",
            "into",
            "single_use",
            "loose",
        ],
    },
    Shape {
        kind: Kind::Seal,
        word: "seal",
        header: "[[item.seal]]",
        parent: Some(Kind::Item),
        tables: &[],
        keys: &["id", "count", "reuse"],
    },
    Shape {
        kind: Kind::Fluid,
        word: "fluid",
        header: "[[item.fluid]]",
        parent: Some(Kind::Item),
        tables: &[],
        keys: &["id", "litres"],
    },
    Shape {
        kind: Kind::Measure,
        word: "measure",
        header: "[[item.measure]]",
        parent: Some(Kind::Item),
        tables: &[],
        keys: &[
            "id", "title", "how", "quantity", "unit", "least", "most", "when", "urgency",
            "answers",
        ],
    },
    Shape {
        kind: Kind::Check,
        word: "check",
        header: "[[check]]",
        parent: Some(Kind::Root),
        tables: &["outcome", "given", "reading", "recording"],
        keys: &[
            "id",
            "title",
            "how",
            "minutes",
            "wait_min",
            "cost",
            "off",
            "on",
            "assembled",
            "needs",
            "needs_fault",
            "spoils",
            "same_as",
            "fixes",
            "caution",
            "outcomes",
        ],
    },
    Shape {
        kind: Kind::Reading,
        word: "`[check.reading]`",
        header: "[check.reading]",
        parent: Some(Kind::Check),
        tables: &[],
        keys: &["quantity", "unit", "bands", "material", "reference_c"],
    },
    Shape {
        kind: Kind::Recording,
        word: "`[check.recording]`",
        header: "[check.recording]",
        parent: Some(Kind::Check),
        tables: &[],
        keys: &["metric", "bands"],
    },
    Shape {
        kind: Kind::Band,
        word: "band",
        header: "bands = [ { … } ]",
        parent: Some(Kind::Reading),
        tables: &[],
        keys: &["outcome", "from", "below"],
    },
    Shape {
        kind: Kind::Repair,
        word: "repair",
        header: "[[repair]]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &[
            "id",
            "title",
            "how",
            "minutes",
            "wait_min",
            "parts",
            "off",
            "on",
            "assembled",
            "fixes",
            "again",
            "needs",
            "spoils",
            "caution",
        ],
    },
    Shape {
        kind: Kind::Part,
        word: "part",
        header: "[[repair.parts]]",
        parent: Some(Kind::Repair),
        tables: &[],
        keys: &[
            "title",
            "number",
            "count",
            "price",
            "lead_h",
            "returnable",
            "restock_percent",
            "deposit",
        ],
    },
    Shape {
        kind: Kind::Proof,
        word: "proof",
        header: "[[proof]]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &[
            "id", "title", "how", "minutes", "wait_min", "cost", "km", "min", "starts",
            "shows", "check", "clear", "false", "if_shown", "by", "needs", "caution",
        ],
    },
    Shape {
        kind: Kind::Duty,
        word: "duty",
        header: "[[duty]]",
        parent: Some(Kind::Root),
        tables: &[],
        keys: &["id", "title", "minutes", "wait_min", "because", "before"],
    },
];

#[cfg(test)]
mod tests {
    use super::SHAPES;

    #[test]
    fn every_kind_has_its_own_shape() {
        for (place, shape) in SHAPES.iter().enumerate() {
            assert_eq!(place, shape.kind as usize);
            assert_eq!(shape.kind.shape().header, shape.header);
        }
    }
}
