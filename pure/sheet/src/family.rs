//! Families of checks: those that `same_as` says see the same thing by the same method.

use crate::CheckIx;
use crate::kinds::Kind;
use crate::names::Directory;
use crate::table::Table;
use crate::take::Reader;

impl<'a> Reader<'a> {
    /// For each check the others of its family in sheet order: whoever names whom, and all
    /// the way.
    pub(crate) fn families(&mut self, tables: &[Option<Table<'a>>]) -> Vec<Vec<CheckIx>> {
        let mut family: Vec<usize> = (0..tables.len()).collect();
        for (place, table) in tables.iter().enumerate() {
            let Some(table) = table else { continue };
            let Some(other) = self.same_as(table, place, tables) else { continue };
            let (kept, joined) = (family[place], family[other]);
            for one in family.iter_mut().filter(|one| **one == joined) {
                *one = kept;
            }
        }
        let others = |place: usize| {
            (0..family.len())
                .filter(|other| *other != place && family[*other] == family[place])
                .map(CheckIx::from)
                .collect()
        };
        (0..family.len()).map(others).collect()
    }

    /// The place of the check that this one is the same as.
    fn same_as(
        &mut self,
        table: &Table<'a>,
        place: usize,
        tables: &[Option<Table<'a>>],
    ) -> Option<usize> {
        let (id, span) = self.string(table, "same_as")?;
        let other = self.refer(Kind::Check, (id, span.clone()))?;
        if other == place {
            let what = format!("the {} names itself in `same_as`", table.called);
            self.notes
                .error("same-as", span, what)
                .hint("name the other check that sees the same, or take the line out");
            return None;
        }
        let own = self.outcomes_of(Some(table), place);
        let theirs = self.outcomes_of(tables.get(other)?.as_ref(), other);
        if let (Some(own), Some(theirs)) = (own, theirs)
            && own != theirs
        {
            let what = format!(
                "the {} has other outcomes than `{id}`: two looks at the same thing come \
                 out alike",
                table.called
            );
            let ids: Vec<String> = theirs.iter().map(|id| format!("\"{id}\"")).collect();
            self.notes.error("outcomes-differ", span, what).hint(format!(
                "write `outcomes = [{}]` in both, or take the line out",
                ids.join(", ")
            ));
            return None;
        }
        Some(other)
    }

    /// The outcomes of a check; `None` where a remark on them says what is wrong already.
    fn outcomes_of(
        &mut self,
        table: Option<&Table<'a>>,
        place: usize,
    ) -> Option<Directory<'a>> {
        let listed = self.list(table?, "outcomes").len();
        let ids = self.names.outcomes.get(place)?;
        (listed > 0 && ids.len() == listed).then(|| ids.clone())
    }
}
