//! Photos, and the holes that are marked on those of an item.

use job::body::{HoleAt, Photo};

use super::Planned;
use crate::bay::{Bay, Problem, car::Car};

impl Bay {
    /// A photo that was taken.
    pub(super) fn photo(
        &mut self,
        car: &Car,
        bytes: &[u8],
        of: Option<&str>,
        caption: &str,
    ) -> Result<Planned, Problem> {
        if let Some(item) = of.and_then(|of| of.strip_prefix("item:"))
            && car.has_sheet
        {
            car.item(item)?;
        }
        let photo = pages::Photo::plain("", bytes.to_vec());
        if photo.format().is_none() {
            return Err(
                Problem::wrong("photo", "this file is no photo").hint("a JPEG or a PNG")
            );
        }
        let (blob, caption) = (self.keep(bytes)?, self.keep_text(caption)?);
        Ok(Planned::of(Photo {
            blob,
            of: of.map(str::to_owned),
            caption,
            holes: Vec::new(),
        }))
    }
}

/// The photo with those holes marked, in place of the marks that it had.
pub(super) fn marked(
    car: &Car,
    event: &str,
    holes: &[HoleAt],
) -> Result<Planned, Problem> {
    let found = car.facts.photos.iter().find(|said| said.id.starts_with(event));
    let photo = found.map(|said| &said.what).ok_or_else(|| {
        Problem::wrong("unknown-id", format!("no photo of this job is `{event}`"))
            .hint("its id stands in `job show`")
    })?;
    let item = photo.of.as_deref().and_then(|of| of.strip_prefix("item:"));
    let item = item.ok_or_else(|| {
        Problem::wrong("photo", "holes are marked on the photo of an item")
            .hint("take one with photo:item:ID=FILE")
    })?;
    for HoleAt { fastener, hole, .. } in holes {
        let count = holes_of(car, item, fastener)?;
        if *hole == 0 || *hole > count {
            let what = format!("`{fastener}` of `{item}` has no hole {hole}");
            return Err(Problem::wrong("unknown-id", what).hint(format!("1 to {count}")));
        }
    }
    Ok(Planned::of(Photo { holes: holes.to_vec(), ..photo.clone() }))
}

/// How many holes a fastener of an item has.
fn holes_of(car: &Car, item: &str, fastener: &str) -> Result<u32, Problem> {
    if car.has_sheet {
        car.fastener(item, fastener)?;
    }
    let listed = car.sheet.items.iter().find(|entry| entry.id == item);
    let listed =
        listed.and_then(|item| item.fasteners.iter().find(|known| known.id == fastener));
    let touched = car.facts.tray_of(item);
    let touched =
        touched.and_then(|item| item.fasteners.iter().find(|known| known.id == fastener));
    let holes = touched.map_or(0, |kind| kind.holes.len());
    let holes = u32::try_from(holes).unwrap_or(u32::MAX);
    Ok(holes.max(listed.map_or(0, |fastener| fastener.count)))
}
