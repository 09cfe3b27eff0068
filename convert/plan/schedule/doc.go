// Package schedule lays the operations of plans on the machines of a plant,
// one after another over its shifts.
//
// A machine does one operation at a time. The operations of a sheet follow each
// other in the order of the plan, each begins when the one before is done and
// its drying time is over, and what takes all sheets, such as stitching, waits
// for the last of them. Sheets of one job run side by side where they are on
// different machines.
//
// Where a cost centre has fewer people than machines, its machines wait for each
// other. An operation goes to another machine than planned where that can do the
// same and the schedule gets better by it; presses keep theirs, as plates and
// layout are made for one (elsewhere.go).
//
// Time is worked in the shifts of the machine's cost centre. Shifts are read
// off the clock on the wall of the plant's zone, durations are time that has
// passed, so that the night of a clock change is an hour longer or shorter. A
// shift counts to the day on which it begins: on a holiday none begins. A run
// may stop at the end of a shift and go on with the next, and so may washing
// up. A makeready is done in one go: it waits for a shift that it fits into,
// unless none is long enough. Shifts that touch are one. Drying goes on while
// nobody works. A cost centre without shifts works round the clock on all days
// that are no holidays, which the notes of a schedule say.
//
// What lies between two operations of a machine depends on both (change.go).
// Washing up begins when a run is over and needs nothing of the next job;
// making ready needs its sheets. At the start machines are clean, and at the end
// they are washed. The wash-up that a plan charges to each job is not laid: what
// is washed is worked out from the colours of one form and the next.
//
// Which order is best can not be worked out exactly for more than a few jobs.
// The search begins with the best of several priority rules, moves operations
// on the critical paths with a seeded generator and a number of trials, never
// by the clock, so that the same input gives the same schedule. What it found
// stands beside bounds that no schedule can go below (bound.go): when the two
// meet, the schedule is proven best.
//
// The bounds are those of the machines that the operations ended on.
//
// Not looked at are batches that go on before the whole run is done, people who
// go from one machine to another within a run, and plates: the plant file has no
// machine for them, so they are taken to lie ready.
package schedule
