// Package learn finds where the figures of a plant file differ from what really
// happened, and proposes better ones.
//
// Each task of a device that has a plan gives up to five ratios of what was and
// what was planned: makeready time, running time of a sheet, wash-up, waste of
// the makeready, waste of the run. The middle of the ratios is estimated by
// Hodges and Lehmann, with the distribution-free interval of the signed-rank
// test, which a few odd jobs hardly move.
//
// What does not teach: tasks of jobs with rework or colour trouble; phases that
// have no end; the waste of runs that stood still longer than they ran; ratios
// beyond Implausible, which are mistakes of booking and not of planning. Stops
// are in no time that is learned from.
//
// A figure is proposed when enough jobs were seen, the interval leaves the
// present figure out, and it is no wider than TooWide. The intervals are widened
// by Bonferroni's rule, so that with no deviation anywhere the chance to propose
// anything at all stays below that which was asked for. Where two sorts of work
// differ and the file can not tell them apart, that is said in words, and only
// the deviation that both have is proposed.
//
// A figure has then to pass a trial among the jobs that taught: each of their
// weeks is planned with what the other weeks teach, or each day where there are
// few weeks. Where the median error of the tasks does not fall, over all and in
// more than half of the weeks, there is no better figure, and that is said.
//
// The last weeks teach nothing: their jobs are kept to see what the proposal is
// worth. Their plans are not made anew, since a better rate may move a job to
// another machine. Their planned figures are taken times the factor of the
// proposal.
package learn
