//! One fastener of a sheet as a step shows it, with its torque.

use fasten::{
    FastenerInput, Kind, Material, StrengthClass, Thread, guess_thread, torque_for,
};
use sheet::{Fastener, Item, Joint};

use crate::answer::FastenerStep;

/// The thread, where it is known and written so that it can be read.
pub(crate) fn thread(fastener: &Fastener) -> Option<Thread> {
    fastener.thread.as_deref()?.parse().ok()
}

/// The strength class, where it is known and written so that it can be read.
pub(crate) fn class(fastener: &Fastener) -> Option<StrengthClass> {
    fastener.class.as_deref()?.parse().ok()
}

/// What its thread is cut in.
pub(crate) fn material(fastener: &Fastener) -> Option<Material> {
    fastener.into.as_deref()?.parse().ok()
}

/// A fastener of `item` with its cells and its torque.
pub(crate) fn shown(item: &Item, fastener: &Fastener, cells: Vec<u32>) -> FastenerStep {
    let kind = fastener.kind.parse().unwrap_or(Kind::Screw);
    let joint = match fastener.joint {
        Joint::Hard => fasten::Joint::Hard,
        Joint::Soft if item.seals.is_empty() => fasten::Joint::Soft,
        Joint::Soft => fasten::Joint::Gasketed,
    };
    let torque = torque_for(&FastenerInput {
        joint,
        thread: thread(fastener),
        class: class(fastener),
        head_mm: fastener.head_mm,
        maker_torque_nm: fastener.torque_nm,
        angle_deg: fastener.angle_deg,
        single_use: fastener.single_use,
        into: material(fastener),
        length_mm: fastener.length_mm,
        stack_mm: fastener.stack_mm,
        ..FastenerInput::new(kind)
    });
    let known = torque.torque_nm.is_some();
    let mut remarks = torque.remarks;
    remarks.extend(unread(fastener, known));
    FastenerStep {
        id: fastener.id.clone(),
        count: fastener.count,
        cells,
        thread: fastener.thread.clone(),
        length_mm: fastener.length_mm,
        torque_nm: torque.torque_nm,
        torque_source: known.then(|| torque.source.clone()),
        no_torque_because: (!known).then_some(torque.source),
        torque_method: torque.method,
        angle_deg: fastener.angle_deg,
        kind: fastener.kind.clone(),
        class: fastener.class.clone(),
        head_mm: fastener.head_mm,
        single_use: fastener.single_use,
        loose: fastener.loose,
        remarks,
    }
}

/// What could not be read of a thread or class, and what a head lets guess beside a torque
/// that is `known` (where it is not, the reason says it).
fn unread(fastener: &Fastener, known: bool) -> Vec<String> {
    let mut remarks = Vec::new();
    if let Some(text) = &fastener.thread {
        remarks.extend(text.parse::<Thread>().err().map(|error| error.to_string()));
    } else if known {
        let guess = fastener.head_mm.and_then(|head_mm| guess_thread(head_mm).ok());
        remarks.extend(guess.map(|guess| guess.to_string()));
    }
    let class = fastener.class.as_deref().map(str::parse::<StrengthClass>);
    remarks.extend(class.and_then(Result::err).map(|error| error.to_string()));
    remarks
}
