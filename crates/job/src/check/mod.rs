//! The checks that need the whole job, one topic a file.

mod circles;
mod corrections;
mod ids;
mod overlaps;
mod times;

use crate::job_text::Draft;
use crate::read::desk::Desk;

/// Records a fault for everything in the job that contradicts itself.
pub(crate) fn check(desk: &Desk, draft: &Draft) {
    ids::check(desk, draft);
    overlaps::check(desk, draft);
    circles::check(desk, draft);
    corrections::check(desk, draft);
    times::check(desk, draft);
}
