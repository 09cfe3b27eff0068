// Package account keeps the books of a plant: what its time, material and
// purchases cost, by job, device, customer, shift or month, beside the plan.
//
// Cells cuts the entries of a ledger at the days and shifts of the plant and adds
// up what is alike. Make prices the cells, puts the plan beside them, splits the
// difference, and gives a Statement for one dimension and one Filter.
//
// How it is counted:
//
//   - Time costs the rate of its cost centre for what it was spent on, plus the
//     premium of the shift. Makeready and wash-up cost the makeready rate, idle and
//     stopped time the idle rate.
//   - A shift belongs to the day on which it begins, also past midnight. Days and
//     shifts are those of the clock on the wall of the plant.
//   - The plan of a piece of work is shared out over the cells that did it: its
//     makeready by makeready time, all else by what was made. So the plan of a day
//     or of an operator is that for what was done, and any dimension has one total.
//   - Material is charged to the press that used it, and shared out like a plan.
//     Reported consumption counts first. Where none is reported, the plan's is taken
//     for the sheets that went through; failing that, it is worked out of sheets,
//     colours and coverage. Figures that were not reported are marked.
//   - Sums are exact. Money is rounded once, when the Statement is made: each column
//     so that the lines shown add up to its exact total, rounded half away from zero.
//
// How actual less plan is split, see Variance: the parts always add up to it.
package account
