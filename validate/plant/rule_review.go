package plant

import "quoin/validate"

// reviewRule makes a rule of what does not fit together in a plant file that
// can be used all the same.
func reviewRule(id, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: "plant/" + id, Severity: validate.Warning, Mends: validate.Plant, Say: say, Do: do, Why: why,
	}
}

var (
	unusedCentre = reviewRule("unused-cost-centre",
		"cost centre {id|q} is used by no machine and no hand work",
		"name it in a machine, or take it out",
		"A rate that nothing is charged at is a rate that somebody believes is charged.")
	unfedMachine = reviewRule("unfed-machine",
		"{id}: no stock of the plant can run on it; {problem}",
		"list the stocks that it is there for, or mend its limits",
		"A machine that no stock suits is in no plan, and no plan says so.")
	uncutStock = reviewRule("no-stock-as-bought",
		"{id}: no stock fits its largest sheet of {most} as bought; the smallest that it could run is {stock|q} of {size}",
		"list a stock of its format, when there is one",
		"Every job of the press then begins at the guillotine.")
	unrunStock = reviewRule("unused-stock",
		"stock {id|q} runs on no press: {problem}",
		"take the stock out, or mend the limits of the press that it is there for",
		"A plan never takes a stock that no press runs, however cheap it is.")
	uncutLarge = reviewRule("stock-not-cut",
		"stock {id|q} of {size} fits no press as bought, and no guillotine takes it to cut it down",
		"add the guillotine that does, or list the stock in the size that it is delivered in",
		"A sheet over the largest press format has to be cut before it is printed.")
	rangeOutside = reviewRule("range-outside",
		"{id}: {what} of {inner} reaches beyond the {outer} of the machine",
		"narrow the one, or widen the other",
		"What a part of a machine is said to take does not pass the machine itself.")
	deadStep = reviewRule("dead-step",
		"{id}: the step {step|q} of {key} is never reached, since the machine takes {range}",
		"take the step out, or mend the grammage of the machine",
		"A number that nothing reads misleads whoever changes it.")
	noPrice = reviewRule("no-coating-price",
		"{id}: no price is given for the coating {kind|q}, neither by the machine nor under \"inks\"",
		"give \"coating price\", or list a coating of that kind with its price",
		"A coating without price is planned as if it cost nothing.")
	noLamps = reviewRule("uv-without-lamps",
		"{id}: it lays UV coatings, and its dryers lack UV",
		"add UV to \"dryers\", or take UV out of \"coatings\"",
		"A UV coating stays wet until UV light cures it. Common practice, no source.")
	twoMakereadies = reviewRule("two-makereadies",
		"{id}: makeready is {flat}, and its tasks take {tasks} along {path}",
		"make the two agree; the tasks are what counts",
		"Who reads one of two different numbers is misled.")
	noShifts = reviewRule("no-shifts",
		"cost centre {id|q} has no shifts, and others have",
		"give its shifts, so that it takes part in schedules",
		"Work can not be laid into hours that nobody states.")
	noZone = reviewRule("no-time-zone",
		"shifts are given, and no time zone; they are taken as UTC",
		"add a line such as \"time zone: Europe/Berlin\"",
		"Tickets state times with their offset, and a shift is by the clock on the wall.")
	noFilmWeight = reviewRule("no-film-weight",
		"ink {id|q} states no film on {coating|q}, and the plant has {stock|q} with it",
		"add the film on that coating",
		"Ink lies thicker on some papers than on others, and one that is left out has the film of the press.")
	oddOrder = reviewRule("order-not-packs",
		"stock {id|q}: the minimum order of {order} sheets is no whole number of packs of {pack}",
		"state the order as it can be bought",
		"A pack is sold whole.")
	noCreaser = reviewRule("no-creaser",
		"creases are asked for from {from} on, and no folder has a creaser and no die cutter is there",
		"state what creases, or take \"score from\" out",
		"Heavy folds are then reported job for job, and nothing of the plant can mend them.")
	noFolder = reviewRule("no-folder",
		"{id}: it binds folded sections, and the plant has no folder",
		"list the folder, or the hand work that folds",
		"Sections are folded before they are gathered or collected.")
	noCutter = reviewRule("no-guillotine",
		"the plant prints sheets, and has no guillotine",
		"list the guillotine that cuts the work to its size",
		"All flat work, and most else, is cut to its size.")
)

func reviewRules() []*validate.Rule {
	return append([]*validate.Rule{
		unusedCentre, unfedMachine, uncutStock, unrunStock, uncutLarge, rangeOutside, deadStep, noPrice, noLamps,
		twoMakereadies, noShifts, noZone, noFilmWeight, oddOrder, noCreaser, noFolder, noCutter,
	}, colourReviewRules()...)
}
