//! Events of a job, and the facts they fold into.
//!
//! [`Body`] is what an event says, [`next_event`] makes its bytes, [`verify`] looks for
//! damage, [`in_order`] puts events in the one order that every store computes alike, and
//! [`fold`](fold::fold) turns them into [`Facts`].

pub mod body;
pub mod canon;
pub mod chain;
pub mod event;
pub mod fact;
pub mod fold;
pub mod instant;
pub mod order;

pub use body::{Body, BodyError, Kind};
pub use chain::{Finding, Seen, Trouble, heads, verify};
pub use event::{
    Draft, Event, EventError, Head, Heads, MAX_EVENT_BYTES, Stored, VERSION, blob_id,
    hash_hex, is_reference, next_event, says_the_same,
};
pub use fact::Fact;
pub use fold::{Facts, fold};
pub use order::in_order;
