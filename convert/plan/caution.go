package plan

import "slices"

// Cautions are the words of care for the machines and materials of a plan. They
// name no limits: those belong to the maker's manual, to local law and to the
// site.
func Cautions(pl *Plan) []string {
	uses := func(match func(*Operation) bool) bool { return slices.ContainsFunc(pl.Operations, match) }
	list := []string{careFirst}
	for _, c := range []struct {
		when func(*Operation) bool
		say  string
	}{
		{func(o *Operation) bool { return o.Cut != nil }, careGuillotine},
		{func(o *Operation) bool { return o.Device != "" && o.Hand == nil }, careMoving},
		{func(o *Operation) bool { return o.Print != nil && !o.Print.Digital }, careSolvents},
		{func(o *Operation) bool {
			return o.Print != nil && slices.Contains(o.Print.Dryers, "UV") ||
				o.Varnish != nil && slices.Contains(o.Varnish.Dryers, "UV")
		}, careUV},
		{func(o *Operation) bool { return o.Laminate != nil }, careFilm},
		{func(o *Operation) bool { return o.Die != nil }, carePlaten},
		{func(o *Operation) bool { return o.Hand != nil }, careHands},
		{func(o *Operation) bool { return o.Bind != nil }, careGlue},
	} {
		if uses(c.when) {
			list = append(list, c.say)
		}
	}
	return append(list, careLifting)
}

// Source of the hazards named: hse.gov.uk/printing, the pages on guillotines
// and machinery, its printer's guide and its sheet on UV curing. The words are
// our own.
const (
	careFirst = "Planning aid only. Local law and codes, the machine maker's manual, the site's risk assessment and " +
		"trained, authorised people decide. Nothing here permits bypassing a guard."
	careGuillotine = "Guillotine: trained and authorised operators only; two-hand control, light guard and clamp " +
		"checked daily; never reach past the beam or clear offcuts under the knife; knife changing is a separate " +
		"trained task."
	careMoving = "Moving machinery: in-running nips catch hands in makeready, jams and cleaning; use guards and inch " +
		"mode only as designed; before reaching in, stop, isolate, lock and tag, and release stored energy by the " +
		"local rule."
	careSolvents = "Wash-up solvents and alcohol: read the safety data sheet, ventilate, wear the gloves it names, " +
		"keep ignition sources away and rags in closed metal bins; used solvent and plate chemistry leave by licensed " +
		"ways only."
	careUV = "UV lamps: interlocked covers stay shut, no skin or eye exposure; uncured ink sensitises the skin; " +
		"extract ozone; lamp and reflector work is for people licensed or authorised for it."
	careFilm = "Laminator: heated rollers and a nip that draws in; thread the film only as designed, with the machine " +
		"stopped; let the rollers cool before cleaning; mind the knife that parts the sheets, and the fumes of warm glue."
	carePlaten = "Die cutter: the platen closes on whatever is in it; guards and their interlocks stay in place, nobody " +
		"reaches in before it is isolated and blocked; dies are sharp and heavy, carried in their frame and by two."
	careHands = "Hand work: benches at a fitting height, changing tasks and breaks against strain; gloves against cuts " +
		"by paper and blades; light to see by."
	careGlue = "Hot glue and milling at the binder: burns, fumes and dust; keep the guards and the extraction on, and " +
		"clear jams only when the machine is isolated and the glue is where it can not spill."
	careLifting = "Lifting: the weights above are what has to be moved; use pallet lifters, and mind stack height " +
		"and floor load."
)
