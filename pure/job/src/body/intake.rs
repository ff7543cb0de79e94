//! Bodies of taking a vehicle in: what is on it, its settings, its sheet.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheet::{Economy, Rust};

use super::BlobId;

/// The sheet of a job, frozen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SheetNamed {
    /// Its id.
    pub id: String,
    /// Its version.
    pub version: u32,
    /// BLAKE3 (hex) of its bytes.
    pub hash: String,
    /// The blob that holds its bytes.
    pub blob: Option<BlobId>,
}

/// `job.opened`: a vehicle was taken in.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct JobOpened {
    /// The sheet, where there is one.
    pub sheet: Option<SheetNamed>,
    /// Blob: plate, identification number, make and model as the owner says.
    pub vehicle: Option<BlobId>,
    /// Blob: the owner's name and how to reach them.
    pub owner: Option<BlobId>,
    /// Blob: the complaint in the owner's words.
    pub complaint: Option<BlobId>,
    /// Fault codes known at the start.
    #[serde(default)]
    pub codes: Vec<String>,
    /// Family of vehicles, for the history.
    pub family: Option<String>,
    /// Odometer, km.
    pub odometer_km: Option<f64>,
    /// The job of which this one is a comeback.
    pub comeback_of: Option<String>,
}

/// How rusty the vehicle is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RustWord {
    /// None.
    None,
    /// Some.
    Some,
    /// Bad.
    Bad,
}

impl From<RustWord> for Rust {
    fn from(word: RustWord) -> Self {
        match word {
            RustWord::None => Self::None,
            RustWord::Some => Self::Some,
            RustWord::Bad => Self::Bad,
        }
    }
}

/// Money rules that differ from the sheet's or the workshop's; the keys of `[economy]`.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct EconomyPatch {
    /// ISO 4217 code; must be the currency below it, money is never converted.
    pub currency: Option<String>,
    /// Money per hour of work.
    pub labour_per_hour: Option<f64>,
    /// Money per hour of waiting.
    pub bay_per_hour: Option<f64>,
    /// What it costs to hand the vehicle back unfixed.
    pub comeback: Option<f64>,
    /// What it costs to pass the job on.
    pub pass_on: Option<f64>,
    /// How rusty the vehicle is.
    pub rust: Option<RustWord>,
    /// Share of the time that the fault is present, 0 to 1.
    pub active: Option<f64>,
}

impl EconomyPatch {
    /// This patch with what `later` says on top.
    #[must_use]
    pub fn then(self, later: &Self) -> Self {
        Self {
            currency: later.currency.clone().or(self.currency),
            labour_per_hour: later.labour_per_hour.or(self.labour_per_hour),
            bay_per_hour: later.bay_per_hour.or(self.bay_per_hour),
            comeback: later.comeback.or(self.comeback),
            pass_on: later.pass_on.or(self.pass_on),
            rust: later.rust.or(self.rust),
            active: later.active.or(self.active),
        }
    }

    /// `base` with this patch on top. A currency other than the base's, an amount below 0
    /// or not finite, and a share outside 0 to 1 are left out, each with a remark.
    #[must_use]
    pub fn on(&self, base: &Economy) -> (Economy, Vec<String>) {
        let mut economy = base.clone();
        let mut remarks = Vec::new();
        if let Some(currency) = self.currency.as_ref().filter(|c| **c != base.currency) {
            remarks.push(format!(
                "the job's prices are in {currency}, the sheet's in {}: money is never \
                 converted, so the job's prices are left out",
                base.currency
            ));
            return (economy, remarks);
        }
        let mut money = |name: &str, field: &mut f64, new: Option<f64>| match new {
            Some(amount) if amount.is_finite() && amount >= 0.0 => *field = amount,
            Some(amount) => remarks.push(format!(
                "`{name}` is {amount}: it must be 0 or more, so it is left out"
            )),
            None => {}
        };
        money("labour_per_hour", &mut economy.labour_per_hour, self.labour_per_hour);
        money("bay_per_hour", &mut economy.bay_per_hour, self.bay_per_hour);
        money("comeback", &mut economy.comeback, self.comeback);
        money("pass_on", &mut economy.pass_on, self.pass_on);
        match self.active {
            Some(share) if (0.0..=1.0).contains(&share) => economy.active = share,
            Some(share) => {
                remarks.push(format!("`active` is {share}: it must lie between 0 and 1"));
            }
            None => {}
        }
        if let Some(rust) = self.rust {
            economy.rust = rust.into();
        }
        (economy, remarks)
    }
}

/// What a snag took in earlier jobs of this workshop, in place of the sheet's minutes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SnagLearned {
    /// The item.
    pub item: String,
    /// Which of its snags on the sheet, from 0.
    pub snag: u32,
    /// Mean minutes, the sheet's counted as one job's.
    pub minutes: f64,
    /// Times that it was met and its minutes noted.
    pub met: u32,
}

/// `job.set`: settings of the job; a field that is absent stays as it was.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct JobSet {
    /// Money rules.
    pub economy: Option<EconomyPatch>,
    /// Equipment at hand; absent: all is there.
    pub has: Option<Vec<String>>,
    /// Family of vehicles, for the history.
    pub family: Option<String>,
    /// Blob: the owner's name and how to reach them, told later or changed.
    pub owner: Option<BlobId>,
    /// Blob: plate, identification number, told later or changed.
    pub vehicle: Option<BlobId>,
    /// What snags took in earlier jobs, as far as that was noted.
    pub snags: Option<Vec<SnagLearned>>,
}

/// `sheet.changed`: the job goes on with another sheet, or with more on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SheetChanged {
    /// The sheet from here on.
    pub sheet: SheetNamed,
    /// Blob: why.
    pub why: Option<BlobId>,
}

/// `writer.joined`: a writer began its chain; of no job.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WriterJoined {
    /// Name of the device.
    pub name: String,
    /// Program and version.
    pub program: String,
}
