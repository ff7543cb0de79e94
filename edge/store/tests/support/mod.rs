//! Drafts for the tests of stores.
#![cfg(test)]
#![allow(dead_code, reason = "each test file uses a part of it")]

use std::io::BufReader;

use job::{
    Body, Draft,
    body::{Erased, ItemOff, JobOpened, Note, RepairDone},
};
use store::{Counts, Limits, Store, StoreError};

pub(crate) fn draft(number: u64, body: impl Into<Body>) -> Draft {
    Draft {
        job: format!("job-{}", number % 3),
        body: body.into(),
        reference: format!("{number:032x}"),
        at: format!("2026-11-25T09:{:02}:00Z", number % 60),
        zone: "Europe/Berlin".to_owned(),
        who: "jo".to_owned(),
    }
}

pub(crate) fn tap(number: u64) -> Draft {
    draft(number, ItemOff { item: format!("item-{number}"), ..ItemOff::default() })
}

pub(crate) fn opened(number: u64) -> Draft {
    draft(number, JobOpened::default())
}

pub(crate) fn cleaned(number: u64) -> Draft {
    draft(number, RepairDone { repair: "clean".to_owned(), ..RepairDone::default() })
}

pub(crate) fn noted(number: u64, blob: &str) -> Draft {
    draft(number, Note { blob: blob.to_owned(), of: None })
}

pub(crate) fn erased(number: u64, blob: &str) -> Draft {
    draft(number, Erased { blob: blob.to_owned(), why: "owner asked".to_owned() })
}

pub(crate) fn archive(store: &dyn Store) -> Vec<u8> {
    let mut bytes = Vec::new();
    store.export(&mut bytes).unwrap();
    bytes
}

pub(crate) fn import(
    store: &mut dyn Store,
    archive: &[u8],
) -> Result<Counts, StoreError> {
    store.import(&mut BufReader::new(archive), &Limits::default())
}
