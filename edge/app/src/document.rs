//! An answer as the one document that is printed: `"witmark": "NAME/1"` first.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Serialize;
use serde_json::{Map, Value, json};

/// An answer that is printed as a document.
pub trait Answer: Serialize + JsonSchema {
    /// Name and version of its form, such as `plan/1`.
    const NAME: &'static str;
}

/// An answer with its tag.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Document<T: Answer> {
    witmark: &'static str,
    #[serde(flatten)]
    answer: T,
}

impl<T: Answer> Document<T> {
    /// Tags an answer.
    pub fn of(answer: T) -> Self {
        Self { witmark: T::NAME, answer }
    }

    /// The answer.
    pub fn answer(&self) -> &T {
        &self.answer
    }

    /// The document as one line of JSON, without a line end.
    ///
    /// # Errors
    /// Where the answer has no JSON form.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        serde_json::to_string(self)
    }
}

impl<T: Answer> JsonSchema for Document<T> {
    fn schema_name() -> Cow<'static, str> {
        T::NAME.into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut schema = T::json_schema(generator);
        let tag =
            json!({ "const": T::NAME, "description": "name and version of this form" });
        let mut properties = Map::new();
        properties.insert("witmark".to_owned(), tag);
        if let Some(Value::Object(own)) = schema.remove("properties") {
            properties.extend(own);
        }
        schema.insert("properties".to_owned(), Value::Object(properties));
        let mut required = vec![Value::from("witmark")];
        if let Some(Value::Array(own)) = schema.remove("required") {
            required.extend(own);
        }
        schema.insert("required".to_owned(), Value::Array(required));
        schema
    }
}

macro_rules! answers {
    ($($answer:ty => $name:literal),* $(,)?) => {
        $(impl Answer for $answer {
            const NAME: &'static str = $name;
        })*
    };
}

answers! {
    ::plan::PlanAnswer => "plan/1",
    ::plan::verify::VerifyAnswer => "plan-verify/1",
    ::strip::StripAnswer => "strip/1",
    ::fasten::TorqueAnswer => "torque/1",
    ::measure::JudgeAnswer => "judge/1",
    ::measure::BenchAnswer => "bench/1",
    ::measure::RecordingAnswer => "recording/1",
    ::measure::CompareAnswer => "compare/1",
    ::measure::RampAnswer => "ramp/1",
    ::measure::RampCompareAnswer => "ramp-compare/1",
    ::weigh::ProveAnswer => "prove/1",
}
