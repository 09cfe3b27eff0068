// Package cost turns what machines report into what a job cost.
//
// Read takes the audit pools of tickets and the signals of messages, of both
// generations, apart into plain records, which can be kept without the documents.
// Settle makes the entries of one device out of them, in any order: which device
// did what, for which job, from when to when, with how much good and waste.
// Collect does both for documents at hand. Report prices the Ledger with the
// rates of a plant and puts it beside the plan.
//
// How time is counted:
//
//   - Moments are instants. Zones, midnight and daylight saving change nothing.
//     Times that say no zone are read by the clock on the wall of the Reading.
//   - A report is known by its content, its time among it, and not by where it
//     was found or how often. IDs of messages are not trusted for it: there are
//     devices that give one to all.
//   - Where it is known when messages came in, a clock of a device that was off
//     all day is put right by that: for the whole day, so that lengths of time
//     stay those of the device. One that was set within a day is only reported.
//   - A phase is known by its device, job, part, state and start. However often
//     it is reported, it is one phase; the word of an audit pool is worth more
//     than that of a signal, and a later word more than an earlier one.
//   - A moment of a device belongs to one phase. Where several claim it, the one
//     that names a job wins over one that does not; then the one that started
//     later, for a machine that begins something new has left what it did before;
//     then the more productive one. The rest is a fixed order without meaning.
//   - Modules of a device that work side by side are one device at work.
//   - A phase without end lasts until the next phase of its job on the device,
//     or until the device is seen at something else, or until the job is
//     reported done. Failing these it ends with the last word of the device,
//     and a finding says so.
//   - Counters of signals grow; one that falls has been set back, and counts
//     from nothing again.
package cost
