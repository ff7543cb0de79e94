//! `StrengthClass`: what a bolt's head marking promises, by ISO 898-1, ISO 3506-1 and SAE J429.

use std::fmt;
use std::str::FromStr;

use crate::error::{FastenError, cut};
use crate::thread::{Series, Thread};

/// N/mm² to the psi, exact to the digits shown (SI).
const MPA_PER_PSI: f64 = 0.006_894_757_293;

/// Strength of a class on one thread, in N/mm².
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Least yield or 0.2 % proof strength, `ReL` or Rp0.2.
    pub yield_mpa: f64,
    /// Stress under proof load, Sp; ISO 3506-1 has none for stainless bolts.
    pub proof_mpa: Option<f64>,
    /// Least tensile strength, Rm.
    pub tensile_mpa: f64,
}

/// Classes of ISO 898-1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Iso898 {
    C46,
    C48,
    C56,
    C58,
    C68,
    C88,
    C98,
    C109,
    C129,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Inner {
    Iso(Iso898),
    /// Steel group A1 to A5 and class number.
    Stainless(u32, u32),
    J429(u32),
}

/// A strength class.
///
/// ```
/// use fasten::{StrengthClass, Thread};
///
/// let class: StrengthClass = "8.8".parse()?;
/// let m16: Thread = "M16".parse()?;
/// let m18: Thread = "M18".parse()?;
/// assert_eq!(class.strength(m16)?.yield_mpa, 640.0); // ISO 898-1, up to M16
/// assert_eq!(class.strength(m18)?.yield_mpa, 660.0); // above
/// assert_eq!("J429 5".parse::<StrengthClass>()?, "grade 5".parse()?);
/// # Ok::<(), fasten::FastenError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StrengthClass(Inner);

impl StrengthClass {
    /// Whether this is stainless steel, which galls and runs at a higher friction.
    pub fn is_stainless(self) -> bool {
        matches!(self.0, Inner::Stainless(..))
    }

    /// The least strengths that the class promises on this thread.
    ///
    /// Sources: ISO 898-1, SAE J429; stainless values of ISO 3506-1 from memory but for
    /// A2-70.
    ///
    /// # Errors
    /// When the class does not exist for the thread: an SAE grade on a metric thread, an
    /// ISO class on an inch thread, or a size that the standard leaves out.
    pub fn strength(self, thread: Thread) -> Result<Strength, FastenError> {
        let refuse = |why| FastenError::NotForThread {
            class: self.to_string(),
            thread: thread.to_string(),
            why,
        };
        match self.0 {
            Inner::Iso(class) => iso_898(class, thread).map_err(refuse),
            Inner::Stainless(_, number) => stainless(number, thread).map_err(refuse),
            Inner::J429(grade) => j429(grade, thread).map_err(refuse),
        }
    }
}

impl StrengthClass {
    /// Proof load in kN, Sp by the nominal stress area; `None` where the standard has none.
    ///
    /// ```
    /// let class: fasten::StrengthClass = "8.8".parse()?;
    /// let load_kn = class.proof_load_kn("M10".parse()?)?.unwrap_or_default();
    /// assert!((load_kn / 33.7 - 1.0).abs() < 0.006); // ISO 898-1 prints 33 700 N
    /// # Ok::<(), fasten::FastenError>(())
    /// ```
    ///
    /// # Errors
    /// As [`Self::strength`].
    pub fn proof_load_kn(self, thread: Thread) -> Result<Option<f64>, FastenError> {
        let strength = self.strength(thread)?;
        let area_mm2 = thread.nominal_stress_area_mm2();
        Ok(strength.proof_mpa.map(|proof_mpa| proof_mpa * area_mm2 / 1000.0))
    }

    /// Least pull that breaks the bolt in kN, Rm by the nominal stress area.
    ///
    /// # Errors
    /// As [`Self::strength`].
    pub fn breaking_load_kn(self, thread: Thread) -> Result<f64, FastenError> {
        let strength = self.strength(thread)?;
        Ok(strength.tensile_mpa * thread.nominal_stress_area_mm2() / 1000.0)
    }
}

/// ISO 898-1: yield and tensile are the least values, proof the nominal stress under proof load.
fn iso_898(class: Iso898, thread: Thread) -> Result<Strength, &'static str> {
    if !thread.is_metric() {
        return Err(
            "ISO 898-1 classes are for metric threads: give a grade, as in grade 5",
        );
    }
    if thread.diameter_mm() > 39.0 || thread.diameter_mm() < 1.6 {
        return Err("ISO 898-1 covers M1.6 to M39: take the maker's value");
    }
    let above_m16 = thread.diameter_mm() > 16.0;
    let (tensile, yield_mpa, proof) = match class {
        Iso898::C46 => (400.0, 240.0, 225.0),
        Iso898::C48 => (420.0, 340.0, 310.0),
        Iso898::C56 => (500.0, 300.0, 280.0),
        Iso898::C58 => (520.0, 420.0, 380.0),
        Iso898::C68 => (600.0, 480.0, 440.0),
        Iso898::C88 if above_m16 => (830.0, 660.0, 600.0),
        Iso898::C88 => (800.0, 640.0, 580.0),
        Iso898::C98 if above_m16 => {
            return Err("9.8 ends at M16: read the marking again");
        }
        Iso898::C98 => (900.0, 720.0, 650.0),
        Iso898::C109 => (1040.0, 940.0, 830.0),
        Iso898::C129 => (1220.0, 1100.0, 970.0),
    };
    Ok(Strength { yield_mpa, proof_mpa: Some(proof), tensile_mpa: tensile })
}

/// ISO 3506-1, property classes 50, 70, 80 and 100.
fn stainless(number: u32, thread: Thread) -> Result<Strength, &'static str> {
    let (largest_mm, tensile_mpa, yield_mpa) = match number {
        50 => (39.0, 500.0, 210.0),
        70 => (24.0, 700.0, 450.0),
        80 => (24.0, 800.0, 600.0),
        _ => (24.0, 1000.0, 800.0),
    };
    if thread.diameter_mm() > largest_mm {
        return Err("ISO 3506-1 ends below this size: take the maker's value");
    }
    Ok(Strength { yield_mpa, proof_mpa: None, tensile_mpa })
}

/// SAE J429, sizes 1/4 to 1 1/2 inch.
fn j429(grade: u32, thread: Thread) -> Result<Strength, &'static str> {
    if thread.series() == Series::Metric {
        return Err(
            "SAE J429 grades are for inch threads: give the marking on the bolt head, as in 8.8 \
             (a bare number is the class of a nut)",
        );
    }
    let tenthou = thread.size();
    if tenthou < 2500 {
        return Err("SAE J429 starts at 1/4 inch: take the maker's value");
    }
    let (proof_psi, yield_psi, tensile_psi) = match grade {
        2 if tenthou <= 7500 => (55_000.0, 57_000.0, 74_000.0),
        1 | 2 => (33_000.0, 36_000.0, 60_000.0),
        5 if tenthou <= 10_000 => (85_000.0, 92_000.0, 120_000.0),
        5 => (74_000.0, 81_000.0, 105_000.0),
        _ => (120_000.0, 130_000.0, 150_000.0),
    };
    Ok(Strength {
        yield_mpa: yield_psi * MPA_PER_PSI,
        proof_mpa: Some(proof_psi * MPA_PER_PSI),
        tensile_mpa: tensile_psi * MPA_PER_PSI,
    })
}

impl fmt::Display for StrengthClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match self.0 {
            Inner::Iso(Iso898::C46) => "4.6",
            Inner::Iso(Iso898::C48) => "4.8",
            Inner::Iso(Iso898::C56) => "5.6",
            Inner::Iso(Iso898::C58) => "5.8",
            Inner::Iso(Iso898::C68) => "6.8",
            Inner::Iso(Iso898::C88) => "8.8",
            Inner::Iso(Iso898::C98) => "9.8",
            Inner::Iso(Iso898::C109) => "10.9",
            Inner::Iso(Iso898::C129) => "12.9",
            Inner::Stainless(group, number) => return write!(f, "A{group}-{number}"),
            Inner::J429(grade) => return write!(f, "grade {grade}"),
        };
        f.write_str(name)
    }
}

impl FromStr for StrengthClass {
    type Err = FastenError;

    /// Reads "8.8", "A2-70", "grade 5", "5", "J429 5", "SAE J429 grade 8".
    fn from_str(text: &str) -> Result<Self, FastenError> {
        let upper = text.trim().to_ascii_uppercase();
        let inner =
            match upper.as_str() {
                "4.6" => Inner::Iso(Iso898::C46),
                "4.8" => Inner::Iso(Iso898::C48),
                "5.6" => Inner::Iso(Iso898::C56),
                "5.8" => Inner::Iso(Iso898::C58),
                "6.8" => Inner::Iso(Iso898::C68),
                "8.8" => Inner::Iso(Iso898::C88),
                "9.8" => Inner::Iso(Iso898::C98),
                "10.9" => Inner::Iso(Iso898::C109),
                "12.9" => Inner::Iso(Iso898::C129),
                other => stainless_name(other).or_else(|| j429_name(other)).ok_or_else(
                    || FastenError::Word {
                        thing: "class",
                        given: cut(text.trim()),
                        next: "give 4.6, 4.8, 5.6, 5.8, 6.8, 8.8, 9.8, 10.9 or 12.9, \
                           A2-70 or its like, or grade 1, 2, 5 or 8",
                    },
                )?,
            };
        Ok(Self(inner))
    }
}

/// "A2-70" and its like.
fn stainless_name(upper: &str) -> Option<Inner> {
    let (group, number) = upper.strip_prefix('A')?.split_once(['-', ' '])?;
    let group = match group {
        "1" => 1,
        "2" => 2,
        "3" => 3,
        "4" => 4,
        "5" => 5,
        _ => return None,
    };
    let number = match number.trim() {
        "50" => 50,
        "70" => 70,
        "80" => 80,
        "100" => 100,
        _ => return None,
    };
    Some(Inner::Stainless(group, number))
}

/// "SAE J429 grade 5" with any of the words before the number left out.
fn j429_name(upper: &str) -> Option<Inner> {
    let mut rest = upper;
    for word in ["SAE", "J429", "J 429", "GRADE", "GR."] {
        rest = rest.strip_prefix(word).unwrap_or(rest).trim_start_matches([' ', '-']);
    }
    match rest {
        "1" => Some(Inner::J429(1)),
        "2" => Some(Inner::J429(2)),
        "5" => Some(Inner::J429(5)),
        "8" => Some(Inner::J429(8)),
        _ => None,
    }
}
