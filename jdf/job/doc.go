// Package job holds the neutral Job: what a ticket says, whichever generation
// of the standard it is written in. Rules, plan and cost are written once, over
// the Job.
//
// Every value is a Fact that knows the place it was read from, so that what is
// found wrong later can still be shown in the ticket. Lengths stay in points as
// tickets give them (value.Length converts), grammage is in g/m2, caliper in
// micrometres, amounts are exact decimals in the unit of what they count.
package job
