package plan

import "quoin/validate"

// Rules are the findings of planning.
func Rules() []*validate.Rule {
	return []*validate.Rule{
		amountMissing, amountUnusable, sizeMissing, stockMissing, colorsMissing, pagesMissing,
		pagesNotMultiple, nothingPrinted, qualityUnknown, noStock, noPlan, notPlanned,
	}
}

var (
	amountMissing = &validate.Rule{
		ID: "process/amount-missing", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has no amount",
		Do:  "state how many copies are to be delivered",
		Why: "Sheets, waste and times are all worked back from the delivered quantity.",
	}
	amountUnusable = &validate.Rule{
		ID: "process/amount-unusable", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has the amount {got|q}; want a number from 1 to {most}",
		Do:  "state how many copies are to be delivered",
		Why: "Sheets, waste and times are all worked back from the delivered quantity.",
	}
	sizeMissing = &validate.Rule{
		ID: "process/size-missing", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has no finished size that can be laid on a sheet",
		Do:  "state the finished width and height, both above zero",
		Why: "How many pieces lie on a sheet follows from their trimmed format.",
	}
	stockMissing = &validate.Rule{
		ID: "process/stock-missing", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has no stock weight",
		Do:  "state the weight of the paper in grams a square metre",
		Why: "Without it any paper would answer, and the cheapest is seldom the one that was meant.",
	}
	nothingPrinted = &validate.Rule{
		ID: "process/nothing-printed", Severity: validate.Error, Mends: validate.Sender,
		Say: "the ticket describes no product and {what}",
		Do:  "plan from the order, or from a ticket that holds the printing too",
		Why: "A plan begins with what is wanted, or with the sheets that are printed for it.",
	}
	qualityUnknown = &validate.Rule{
		ID: "process/quality-unknown", Severity: validate.Error, Mends: validate.Plant,
		Say: "product {product|q} names its paper {got|q} and no weight; no stock of plant {plant|q} goes by that name",
		Do:  "state the weight in grams a square metre, or list the name under the qualities of a stock in the plant file",
		Why: "Names of paper are agreed between customer and plant, and tell nothing to others.",
	}
	colorsMissing = &validate.Rule{
		ID: "process/colors-missing", Severity: validate.Warning, Mends: validate.Sender,
		Say: "product {product|q} does not say its colours; planned as {colors}",
		Do:  "name the separations of each side",
		Why: "The number of colours decides plates, passes and clicks.",
	}
	pagesMissing = &validate.Rule{
		ID: "process/pages-missing", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has no number of pages",
		Do:  "state the pages of the part; a leaf has two",
		Why: "The sections of a book follow from its pages.",
	}
	pagesNotMultiple = &validate.Rule{
		ID: "process/pages-not-multiple", Severity: validate.Error, Mends: validate.Sender,
		Say: "product {product|q} has {pages} pages; want a multiple of {of} for {binding}",
		Do:  "pad it to {next} pages with the customer's consent, or take pages out",
		Why: "A stitched sheet is folded once at the spine, so it brings four pages; a glued leaf brings two.",
	}
	noStock = &validate.Rule{
		ID: "plant/no-stock", Severity: validate.Error, Mends: validate.Plant,
		Say: "no stock of plant {plant|q} is {want}; it has {have}",
		Do:  "add the stock to the plant file, or agree on another with the customer",
		Why: "A plan names the sheet that is bought.",
	}
	noPlan = &validate.Rule{
		ID: "plant/no-plan", Severity: validate.Error, Mends: validate.Plant,
		Say: "plant {plant|q} has no way of making product {product|q}: {reasons}",
		Do:  "free what the ticket fixes, or see which machine or stock is missing",
		Why: "Every combination of stock, press sheet, press, layout and work style was tried.",
	}
	notPlanned = &validate.Rule{
		ID: "plant/work-not-planned", Severity: validate.Error, Mends: validate.Operator,
		Say: "{work} can not be planned; flat, folded and die-cut sheets, saddle-stitched and perfect-bound books can",
		Do:  "plan this job, or this part of it, by hand",
		Why: "A plan that leaves an operation out would promise a wrong price and date.",
	}
)
