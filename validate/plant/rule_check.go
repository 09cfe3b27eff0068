package plant

import "quoin/validate"

// limitRule makes a rule of tickets held against a plant. Its findings have the
// facts what, value, limits, gap, device, limit and instead.
func limitRule(id string, severity validate.Severity, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: "plant/" + id, Severity: severity, Mends: validate.Sender, Say: say, Do: do, Why: why,
	}
}

const commonPractice = " Common practice, no source."

// Rules of the press.
var (
	sheetTooLarge = limitRule("sheet-too-large", validate.Error,
		"{what} is {value}, too large: {limits}",
		"make it smaller by {gap}{instead}",
		"A sheet over the greatest format does not pass the feeder and the grippers, turned or not."+commonPractice)
	sheetTooSmall = limitRule("sheet-too-small", validate.Error,
		"{what} is {value}, too small: {limits}",
		"make it larger by {gap}{instead}",
		"A sheet under the least format is not held from one gripper to the next, turned or not."+commonPractice)
	sizeTooLarge = limitRule("size-too-large", validate.Error,
		"{what} is {value}, too large to print even one to a sheet: {limits}",
		"make it smaller by {gap}, or join it from parts{instead}",
		"The piece with its bleed has to fit between the margins of the greatest sheet at least once."+commonPractice)
	printArea = limitRule("print-area", validate.Error,
		"{what} is {value}, larger than the printable area of the sheet: {limits}",
		"make it smaller by {gap}, or take a larger sheet{instead}",
		"Gripper edge, tail, control bar and side margins of a sheet take no print; sheets that are turned "+
			"end to end need a gripper edge at both ends."+commonPractice)
	tooHeavy = limitRule("stock-too-heavy", validate.Error,
		"{what} is {value}, too heavy: {limits}",
		"take a stock that is {gap} lighter{instead}",
		"Heavier sheets do not bend round the cylinders or through the fold as they have to."+commonPractice)
	tooLight = limitRule("stock-too-light", validate.Error,
		"{what} is {value}, too light: {limits}",
		"take a stock that is {gap} heavier{instead}",
		"Lighter sheets are not parted and held without creases."+commonPractice)
	tooThick = limitRule("stock-too-thick", validate.Error,
		"{what} is {value}, too thick: {limits}",
		"take a stock that is {gap} thinner{instead}",
		"The gap between cylinders is set for sheets up to the limit."+commonPractice)
	tooThin = limitRule("stock-too-thin", validate.Error,
		"{what} is {value}, too thin: {limits}",
		"take a stock that is {gap} thicker{instead}",
		"Thinner sheets are not told from doubles and not held flat."+commonPractice)
	morePasses = limitRule("more-passes", validate.Note,
		"{what} has {value}, more than one pass prints: {limits}",
		"save {gap}, or plan a second pass{instead}",
		"Colours beyond the units of an offset press are printed in a further pass, with its own makeready."+
			commonPractice)
	tooManyColors = limitRule("too-many-colors", validate.Error,
		"{what} has {value}, more than can be printed: {limits}",
		"save {gap}{instead}",
		"A digital press has the colours of its units and does not print a sheet in register twice."+commonPractice)
	noPerfecting = limitRule("no-perfecting", validate.Error,
		"{what} is {value}: {limits}",
		"ask for WorkAndBack or WorkAndTurn{instead}",
		"Perfecting prints both sides in one pass, which takes a press that turns the sheet between units; "+
			"WorkStyle is an attribute of the printing parameters in both generations of the standard.")
	perfectingColors = limitRule("perfecting-colors", validate.Error,
		"{what} is {value}: {limits}",
		"save {gap}, or ask for WorkAndBack{instead}",
		"A perfecting press has some of its units before the turning and the rest behind it."+commonPractice)
	noCoater = limitRule("no-coater", validate.Error,
		"{what} is {value}: {limits}",
		"leave the coating out{instead}",
		"A coating in the press takes a coater for coatings of that kind."+commonPractice)
	noDryer = limitRule("no-dryer", validate.Error,
		"{what} is {value}: {limits}",
		"ask for another coating or drying{instead}",
		"UV inks and coatings cure under UV lamps alone; a drying that is asked for has to be in the press."+
			commonPractice)
	tooFast = limitRule("too-fast", validate.Warning,
		"{what} is {value}, too fast: {limits}",
		"ask for {gap} less, or leave the speed to the press{instead}",
		"The press will run at its own speed, and the schedule that rests on the ticket's will not hold."+
			commonPractice)
)

// Rules of finishing.
var (
	cutTooWide = limitRule("cut-too-wide", validate.Error,
		"{what} is {value}, too large to cut: {limits}",
		"make it smaller by {gap}{instead}",
		"A pile has to fit between the side frames and between back gauge and knife, turned or not."+commonPractice)
	cutTooSmall = limitRule("cut-too-small", validate.Error,
		"{what} is {value}, too small to cut: {limits}",
		"make it larger by {gap}, or leave it joined to its neighbour{instead}",
		"A smaller piece can not be held under the clamp with the hands away from the knife."+commonPractice)
	blockOutside = limitRule("block-outside", validate.Error,
		"{what} reaches {gap} beyond the {limit} that it is cut from",
		"move the block, make it smaller, or take a larger sheet",
		"The box of a block is counted from the lower left corner of the sheet, or of the block that is cut again.")
	blocksOverlap = limitRule("blocks-overlap", validate.Error,
		"{what} overlaps {other} by {gap}",
		"move one of the two blocks",
		"A piece of the sheet can be cut into one block only."+commonPractice)
	foldUnknown = limitRule("fold-unknown", validate.Error,
		"{what} is {value}: {limits}",
		"ask for one of the folds that are set up{instead}",
		"The code of the fold catalogue names pages and a scheme; a folder is equipped for some of them. "+
			"Form of the code: the type FoldCatalog of the XJDF schema.")
	foldFormat = limitRule("fold-format", validate.Error,
		"{what} is {value}, outside what can be folded: {limits}",
		"change the open sheet by {gap}{instead}",
		"Rollers and knives of a folder take sheets between two formats, turned or not."+commonPractice)
	stitchPages = limitRule("stitch-pages", validate.Error,
		"{what} has {value}: {limits}",
		"change it by {gap}{instead}",
		"A stitched book is made of folded sheets of four pages, so its pages are a multiple of four; "+
			"wire and trimmer bound how many. Published by binderies, with figures that differ.")
	stitchThickness = limitRule("stitch-thickness", validate.Error,
		"{what} is {value}: {limits}",
		"change it by {gap}, with other pages or another stock{instead}",
		"The limit is that of the closed book, pages / 2 x caliper: wire and trimmer hold no thicker one."+
			commonPractice)
	trimFormat = limitRule("trim-format", validate.Error,
		"{what} is {value}, width x spine, outside what can be trimmed: {limits}",
		"change it by {gap}{instead}",
		"The trimmer behind stitcher and binder is set between two formats, spine to the back."+commonPractice)
	blockThickness = limitRule("block-thickness", validate.Error,
		"{what} is {value}: {limits}",
		"change it by {gap}, with other pages or another stock{instead}",
		"The clamp of a binder holds blocks between two thicknesses; the block is pages / 2 x caliper."+
			commonPractice)
)

// Rules of the choice of a device.
var (
	noBinding = limitRule("no-binding", validate.Warning,
		"binding {value|q} is made by no machine of {plant}",
		"ask for SaddleStitch or SoftCover, or have it bound elsewhere",
		"A plant file knows saddle stitchers and perfect binders; other bindings are work for the hand or for others.")
	unknownDevice = limitRule("unknown-device", validate.Error,
		"device {value|q} is not one of {plant}; want {choices}",
		"{near}",
		"DeviceID in a ticket is the id of a machine in the plant file.")
	wrongDevice = limitRule("wrong-device", validate.Error,
		"device {value|q} is a {kind}; {what} needs {want}",
		"name one of {choices}",
		"A device carries out the processes that it is built for."+commonPractice)
	noDevice = limitRule("no-device", validate.Error,
		"no {kind} of {plant} can do {what}: {limits}",
		"change what the limits name, or have it done elsewhere{instead}",
		"Each machine is held back by another limit, so no single change is the one to make.")
	onlyDevice = &validate.Rule{
		ID: "plant/only-device", Severity: validate.Note, Mends: validate.Operator,
		Say: "only {device} can do {what}: {limits}",
		Why: "When that machine is down or full, the job waits." + commonPractice,
	}
)

func checkRules() []*validate.Rule {
	return []*validate.Rule{
		sheetTooLarge, sheetTooSmall, sizeTooLarge, printArea, tooHeavy, tooLight, tooThick, tooThin,
		morePasses, tooManyColors, noPerfecting, perfectingColors, noCoater, noDryer, tooFast,
		cutTooWide, cutTooSmall, blockOutside, blocksOverlap, foldUnknown, foldFormat,
		stitchPages, stitchThickness, trimFormat, blockThickness,
		filmWidth, noFilm, twoFilmRuns, stitchCreep, coverWeight, inkLimit, scoreFirst, againstGrain, dryingTime,
		noBinding, unknownDevice, wrongDevice, noDevice, onlyDevice,
	}
}
