// Package rehearsal plays the machines of a plant: it takes the steps of plans,
// runs each through makeready, run, stops and wash-up with figures drawn from
// the plan, and keeps the truth of what happened beside what the machines say.
//
// Nothing here is a measurement. Times and waste are drawn from stated
// distributions (play.go) around the planned figures, bent by habits of the
// machines that the plant file does not know (habits.go), so that there is
// something true to be learned from what is collected.
//
// The draws of a step depend on the seed and the names of its job and part
// alone, never on the order in which steps are played, on the clock, or on the
// number of cores: the same seed gives the same truth.
package rehearsal
