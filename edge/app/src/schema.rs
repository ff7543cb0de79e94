//! `schema`: the JSON Schema of every document, from the types that print it.

use schemars::{JsonSchema, Schema, schema_for};
use serde::Serialize;

use crate::Problem;
use crate::bay;
use crate::document::{Answer, Document};
use crate::near::known_names;
use crate::papers::{DemoAnswer, PapersAnswer};
use crate::sheet_file::{SheetCheck, SheetList, SheetText};

/// Name of a document and how its schema is made.
type Named = (&'static str, fn() -> Schema);

fn named<T: Answer>() -> Named {
    (T::NAME, || schema_for!(Document<T>))
}

/// Every document, in the order of the design.
fn all() -> Vec<Named> {
    vec![
        named::<::plan::PlanAnswer>(),
        named::<::plan::verify::VerifyAnswer>(),
        named::<::strip::StripAnswer>(),
        named::<crate::strip::OrderAnswer>(),
        named::<::fasten::TorqueAnswer>(),
        named::<::fluids::LevelAnswer>(),
        named::<::fluids::UseAnswer>(),
        named::<::fluids::ThicknessAnswer>(),
        named::<::fluids::GradeAnswer>(),
        named::<::measure::JudgeAnswer>(),
        named::<::measure::BenchAnswer>(),
        named::<::measure::RecordingAnswer>(),
        named::<::measure::CompareAnswer>(),
        named::<::measure::RampAnswer>(),
        named::<::weigh::ProveAnswer>(),
        named::<bay::JobAnswer>(),
        named::<bay::NextAnswer>(),
        named::<bay::DidAnswer>(),
        named::<bay::UndoAnswer>(),
        named::<bay::QuoteAnswer>(),
        named::<bay::OptionsAnswer>(),
        named::<bay::HandedOverAnswer>(),
        named::<bay::FollowUpAnswer>(),
        named::<bay::FollowUpList>(),
        named::<PapersAnswer>(),
        named::<bay::JobsAnswer>(),
        named::<bay::ShowAnswer>(),
        named::<bay::TrayAnswer>(),
        named::<bay::VerifyAnswer>(),
        named::<bay::ImportAnswer>(),
        named::<DemoAnswer>(),
        named::<SheetCheck>(),
        named::<SheetList>(),
        named::<SheetText>(),
        named::<SchemaList>(),
    ]
}

/// `schema-list/1`: names of the documents.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SchemaList {
    /// The names.
    pub schemas: Vec<String>,
    /// What else to know.
    pub remarks: Vec<String>,
}

impl Answer for SchemaList {
    const NAME: &'static str = "schema-list/1";
}

/// The names of all documents.
pub fn list() -> SchemaList {
    let schemas = all().into_iter().map(|(name, _)| name.to_owned()).collect();
    SchemaList { schemas, remarks: Vec::new() }
}

/// The schema of a document by its name, `plan` or `plan/1`.
///
/// # Errors
/// A name that there is not, with what may be meant.
pub fn schema(name: &str) -> Result<Schema, Problem> {
    let all = all();
    let wanted = |(have, _): &&Named| {
        *have == name || have.split_once('/').is_some_and(|(plain, _)| plain == name)
    };
    all.iter().find(wanted).map(|(_, make)| make()).ok_or_else(|| {
        let shown: String = name.chars().take(60).collect();
        let names = all.iter().filter_map(|(have, _)| have.split('/').next());
        Problem::wrong("unknown-id", format!("there is no document `{shown}`"))
            .maybe_hint(known_names(name, names))
    })
}

#[cfg(test)]
mod tests {
    use super::{list, schema};

    #[test]
    fn every_schema_begins_with_its_tag_and_wants_remarks() {
        for name in list().schemas {
            let schema = schema(&name).unwrap();
            let properties = schema.get("properties").unwrap().as_object().unwrap();
            assert_eq!(properties["witmark"]["const"], name.as_str());
            assert!(properties.contains_key("remarks"), "{name}");
            assert_eq!(schema.get("required").unwrap()[0], "witmark");
        }
        assert_eq!(schema("pln").unwrap_err().hint.unwrap(), "did you mean `plan`?");
    }
}
