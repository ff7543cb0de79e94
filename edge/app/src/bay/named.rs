//! Finding a job: by its id, the beginning of its id, or its plate.

use serde::{Deserialize, Serialize};

use super::{Bay, Problem, car::Car, trouble};

/// Letters and digits that are not mistaken for one another.
const LETTERS: &[u8; 30] = b"abcdefghjkmnpqrstuvwxyz2345678";

/// Letters of a job's id.
const LENGTH: usize = 5;

/// The vehicle as its blob holds it; personal data, so outside the events.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) struct VehicleBlob {
    /// The plate.
    #[serde(default)]
    pub(crate) plate: String,
    /// The vehicle in words.
    #[serde(default)]
    pub(crate) vehicle: String,
    /// The workshop that took it in.
    #[serde(default)]
    pub(crate) workshop: String,
    /// Its address.
    #[serde(default)]
    pub(crate) workshop_lines: Vec<String>,
}

/// The owner as the blob holds it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(crate) struct OwnerBlob {
    /// Name.
    #[serde(default)]
    pub(crate) name: String,
    /// How to reach them.
    #[serde(default)]
    pub(crate) phone: String,
}

impl Bay {
    /// The id of the job that is meant.
    ///
    /// # Errors
    /// No job, or more than one, answers to that name.
    pub fn find(&self, name: &str) -> Result<String, Problem> {
        let jobs = self.store.jobs().map_err(|error| trouble(&error))?;
        let name = name.trim();
        if jobs.iter().any(|job| job == name) {
            return Ok(name.to_owned());
        }
        let lower = name.to_lowercase();
        let begin: Vec<&String> = jobs
            .iter()
            .filter(|job| !lower.is_empty() && job.starts_with(&lower))
            .collect();
        let of_plate = self.of_plate(name, &jobs)?;
        match (of_plate.as_slice(), begin.as_slice()) {
            ([one], _) => Ok(one.clone()),
            ([], [one]) => Ok((*one).clone()),
            ([], []) => Err(self.no_job(name, &jobs)?),
            ([], many) => Err(Problem::wrong(
                "many-jobs",
                format!("`{name}` begins the ids of {} jobs", many.len()),
            )
            .hint("write more of the id")),
            (many, _) => Err(Problem::wrong(
                "many-jobs",
                format!(
                    "{} jobs have the plate `{name}`: {}",
                    many.len(),
                    many.join(", ")
                ),
            )
            .hint("name the job by its id")),
        }
    }

    /// No job answers to that name: which plate or id may have been meant.
    fn no_job(&self, name: &str, jobs: &[String]) -> Result<Problem, Problem> {
        let mut known = jobs.to_vec();
        for job in jobs {
            known.push(Car::load(self, job)?.vehicle.plate);
        }
        let near = sheet::nearest(name, known.iter().map(String::as_str));
        let hint = near.map_or_else(
            || {
                "name it by its id, the beginning of its id, or its plate; `job list` \
                 shows them"
                    .to_owned()
            },
            |near| format!("did you mean `{near}`?"),
        );
        Ok(Problem::wrong("no-job", format!("no job answers to `{name}`")).hint(hint))
    }

    /// Jobs of that plate: those on hand, or where none is, all.
    fn of_plate(&self, name: &str, jobs: &[String]) -> Result<Vec<String>, Problem> {
        let wanted = plain(name);
        let (mut on_hand, mut closed) = (Vec::new(), Vec::new());
        if wanted.is_empty() {
            return Ok(on_hand);
        }
        for job in jobs {
            let car = Car::load(self, job)?;
            if plain(&car.vehicle.plate) == wanted {
                if car.facts.closed() { &mut closed } else { &mut on_hand }
                    .push(job.clone());
            }
        }
        Ok(if on_hand.is_empty() { closed } else { on_hand })
    }

    /// A new id that no job of this store has.
    pub(super) fn new_id(&self) -> Result<String, Problem> {
        let jobs = self.store.jobs().map_err(|error| trouble(&error))?;
        for _ in 0..64 {
            let random =
                store::random_hex(LENGTH * 2).map_err(|error| trouble(&error))?;
            let id = letters(&random);
            if !jobs.contains(&id) {
                return Ok(id);
            }
        }
        Err(Problem::could_not("store", "no free job id was found: try again"))
    }
}

/// Letters and digits only, in one case: plates are typed in many ways.
fn plain(plate: &str) -> String {
    plate.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase).collect()
}

/// An id from random hex digits, four of them a letter: the bias of 65536 mod 30 is nothing.
fn letters(hex: &str) -> String {
    let mut id = String::new();
    for four in hex.as_bytes().chunks(4) {
        let value = four.iter().fold(0_usize, |sum, digit| {
            let digit = char::from(*digit).to_digit(16).unwrap_or(0);
            sum * 16 + usize::try_from(digit).unwrap_or(0)
        });
        id.push(char::from(LETTERS[value % LETTERS.len()]));
    }
    id
}

#[cfg(test)]
mod tests {
    use super::{letters, plain};

    #[test]
    fn ids_have_five_letters_without_look_alikes() {
        assert_eq!(letters("0000001d001e00ffffff").len(), 5);
        assert_eq!(letters("0000001d001e"), "a8a");
        assert!("01ilo9".chars().all(|c| !super::LETTERS.contains(&(c as u8))));
    }

    #[test]
    fn a_plate_is_found_however_it_is_typed() {
        assert_eq!(plain("wm-ar 204"), plain("WM AR204"));
    }
}
