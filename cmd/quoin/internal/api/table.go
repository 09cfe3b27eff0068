package api

import (
	"net/http"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/ledger"
	"quoin/cmd/quoin/internal/works"
	"quoin/convert"
	"quoin/convert/cost"
	"quoin/convert/cost/account"
	"quoin/convert/plan"
	"quoin/validate/profile"
)

// Who may do what.
var (
	anyone   = []access.Role{access.Reader, access.Operator, access.Sender, access.Device}
	checkers = []access.Role{access.Reader, access.Operator, access.Sender}
	owners   = []access.Role{access.Reader, access.Operator, access.Sender} // senders see their own
	handers  = []access.Role{access.Operator, access.Sender}
	readers  = []access.Role{access.Reader, access.Operator}
	deciders = []access.Role{access.Operator}
	admins   = []access.Role{access.Admin}
)

// Parameters that several operations have.
var (
	jobID    = param{Name: "id", In: "path", Type: "integer", Min: 1, Says: "number of the job"}
	stepID   = param{Name: "step", In: "path", Type: "integer", Min: 1, Says: "number of the step"}
	itemID   = param{Name: "id", In: "path", Type: "integer", Min: 1, Says: "number of it"}
	fromTime = param{Name: "from", In: "query", Type: "time", Says: "what went on from then on; a day or a time"}
	toTime   = param{Name: "to", In: "query", Type: "time",
		Says: "what went on before then; a day with all its hours, or a time"}
	nameOf = param{Name: "name", In: "query", Type: "string", Says: "file name, for findings", Usual: "ticket"}
	ndjson = choice("format", "all entries at once, one a line, or a page", "json", "ndjson")
)

func word(name, says string) param { return param{Name: name, In: "query", Type: "string", Says: says} }

func words(name, says string, allow ...string) param {
	return param{Name: name, In: "query", Type: "string", Many: true, Says: says, Allow: allow}
}

// choice is a parameter with a list of words, the first of which is meant without it.
func choice(name, says string, allow ...string) param {
	return param{Name: name, In: "query", Type: "string", Says: says, Allow: allow, Usual: allow[0]}
}

func texts[T ~string](list []T) []string {
	var all []string
	for _, one := range list {
		all = append(all, string(one))
	}
	return all
}

// ticketBody is a ticket as it is, or as the file of a form.
var ticketBody = &content{Media: "application/octet-stream",
	Says: "a ticket, a message or a package of them, of either " +
		"generation, under its own media type; or multipart/form-data with one file"}

// operations lists everything that the API does.
func operations() []*operation {
	var all []*operation
	for _, group := range [][]*operation{aboutUs(), checks(), jobOperations(), jobParts(), jobActions(),
		books(), flows(), people()} {
		all = append(all, group...)
	}
	return all
}

func aboutUs() []*operation {
	return []*operation{
		{ID: "describe", Method: "GET", Path: "/openapi.json", Group: "service", Summary: "This description",
			Roles:  anyone,
			Answer: []content{{"application/json", nil, "OpenAPI 3.1"}},
			do: func(*api, *call) (*reply, error) {
				text, err := Describe()
				return &reply{media: "application/json", body: text}, err
			}},
		{ID: "whoami", Method: "GET", Path: "/whoami", Group: "service",
			Summary: "Who asks, and what that partner may do",
			Roles:   anyone, Answer: []content{jsonOf(me{}, "the partner")}, do: showMe},
		{ID: "events", Method: "GET", Path: "/events", Group: "service", Roles: readers, do: followEvents,
			Summary: "Follow what changes, as server-sent events; Last-Event-ID or after resumes without loss or repetition, " +
				"and the event reset says that some were missed",
			Params: []param{
				{Name: "after", In: "query", Type: "integer",
					Says: "number of the last event that is known; without it, only new ones"},
				words("kind", "only these kinds", works.EventTicket, works.EventStep, works.EventDevice,
					works.EventAlert,
					works.EventDelivery, works.EventChore),
			},
			Answer: []content{{"text/event-stream", nil, "events named change, whose data is JSON"}}},
	}
}

func checks() []*operation {
	return []*operation{
		{ID: "validate", Method: "POST", Path: "/validate", Group: "checks", Roles: checkers, Body: ticketBody,
			Heavy:   true,
			Summary: "Check a ticket, a message or a package; nothing is kept", do: validateDocument,
			Params: []param{
				nameOf, choice("plant", "check against the machines of the plant too", "yes", "no"),
				words("profile", "conformance profiles beside those of the service", profile.Names()...),
				choice("format", "of the answer", "json", "sarif", "junit", "text"),
			},
			Answer: []content{
				jsonOf(report{}, "the findings; a ticket with errors is answered with 200 too"),
				{"application/sarif+json", nil, "SARIF 2.1.0"}, {"application/xml", nil, "JUnit"},
				{"text/plain", nil, "for people"},
			}},
		{ID: "plan", Method: "POST", Path: "/plan", Group: "checks", Roles: checkers, Body: ticketBody, Heavy: true,
			Summary: "Plan a ticket on the machines of the plant; nothing is kept", Params: []param{nameOf},
			Answer: []content{jsonOf(planned{}, "the plan with a picture of each sheet")}, do: planDocument},
		{ID: "convert", Method: "POST", Path: "/convert", Group: "checks", Roles: checkers, Body: ticketBody,
			Heavy:   true,
			Summary: "Write a ticket or message in the other generation or another version, and say what was lost",
			Params: []param{
				nameOf, choice("to", "generation", "xjdf", "jdf"), word("version", "to write; the last without it"),
				choice("split", "what of a JDF becomes one XJDF", string(convert.Process),
					string(convert.GrayBox), string(convert.Product)),
				choice("keep", "keep what has no counterpart as private data", "no", "yes"),
				choice("answer", "a ZIP of documents and losses, the only document, or the losses alone", "zip",
					"file", "losses"),
			},
			Answer: []content{
				{"application/zip", nil, "the documents, and " + lossesName}, jsonOf(losses{},
					"what was changed and lost"),
				{"application/vnd.cip4-jdf+xml", nil, "the only document"}, {"application/vnd.cip4-xjdf+xml",
					nil, "the only document"},
				{"application/vnd.cip4-jmf+xml", nil, "the only document"}, {"application/vnd.cip4-xjmf+xml",
					nil, "the only document"},
			}, do: convertDocument},
	}
}

func jobOperations() []*operation {
	return []*operation{
		{ID: "listJobs", Method: "GET", Path: "/jobs", Group: "jobs", Roles: owners,
			Summary: "List jobs; senders see their own",
			Params: paged(
				words("state", "only in these states", texts(works.States())...), word("partner",
					"handed in by"), word("job", "JobID"),
				word("device", "with a step on this device"), word("search", "in job, name or customer"),
				word("customer", "a part of the customer's name, whatever the case"),
				param{Name: "since", In: "query", Type: "time", Says: "changed at or after"},
				choice("order", "of the list", "queue", "due", "change"),
			),
			Answer: []content{jsonOf(page[job]{}, "a page of jobs")}, do: listJobs},
		{ID: "submitJob", Method: "POST", Path: "/jobs", Group: "jobs", Roles: handers, Body: ticketBody,
			Once: true, Heavy: true,
			Summary: "Hand in the tickets of a body; each is a job, which is refused when its check finds errors",
			Params: []param{
				nameOf, choice("held", "hold it in the queue", "no", "yes"), choice("wait", "for the check",
					"yes", "no"),
			},
			Status: http.StatusCreated, Answer: []content{jsonOf(page[*wholeJob]{},
				"the jobs as they are now")}, do: submitJob},
		{ID: "showJob", Method: "GET", Path: "/jobs/{id}", Group: "jobs", Roles: owners, Params: []param{jobID},
			Tagged:  true,
			Summary: "One job with its steps, and what can be done to it", Answer: []content{jsonOf(&wholeJob{},
				"the job")}, do: showJob},
	}
}

func jobParts() []*operation {
	part := func(id, path, says string, do func(*api, *call) (*reply, error), answer content,
		params ...param) *operation {
		return &operation{ID: id, Method: "GET", Path: "/jobs/{id}" + path, Group: "jobs", Roles: owners,
			Summary: says,
			Params:  append([]param{jobID}, params...), Answer: []content{answer}, do: do}
	}
	entries := part("showTimeline", "/timeline", "What the devices reported for it, phase by phase", showTimeline,
		jsonOf(page[cost.Entry]{}, "a page of phases"), paged(ndjson)...)
	entries.Answer = append(entries.Answer, content{"application/x-ndjson", nil, "one phase a line"})
	costs := part("showCost", "/cost", "What it cost, beside its plan", showCost, jsonOf(statement{},
		"the books of the job"),
		param{Name: "by", In: "query", Type: "string", Allow: texts(account.Dimensions()),
			Usual: string(account.ByDevice), Says: "rows"})
	entries.Roles, costs.Roles = readers, readers // senders are not told what a job costs
	bytes := content{"application/octet-stream", nil, "as it is"}
	return []*operation{
		part("showSteps", "/steps", "Its steps", showSteps, jsonOf(page[step]{}, "all of them"),
			choice("all", "those of plans that were given up too", "no", "yes")),
		part("showFindings", "/findings", "What its last check found", showFindings, jsonOf(report{},
			"the findings")),
		part("showPlan", "/plan", "Its plan", showPlan, jsonOf(&plan.Plan{}, "the plan")),
		part("showSheet", "/plan/sheets/{sheet}", "The picture of a sheet of its plan", showSheet,
			content{"image/svg+xml", nil, "the picture"}, param{Name: "sheet", In: "path", Type: "string",
				Says: "name of the sheet"}),
		part("showHistory", "/history", "Every change of it and of its steps", showHistory, jsonOf(page[turn]{},
			"oldest first")),
		part("showSource", "/source", "The ticket as it came", showSource, bytes),
		part("showDeviceTicket", "/steps/{step}/ticket", "The ticket that the device of a step gets",
			showDeviceTicket, bytes, stepID),
		entries, costs,
	}
}

func jobActions() []*operation {
	answer := []content{jsonOf(&wholeJob{}, "the job as it is now")}
	var all []*operation
	for _, one := range works.Actions() {
		body := jsonOf(why{}, "why")
		if one.Number {
			body = jsonOf(whyPriority{}, "why, and the priority")
		}
		all = append(all, &operation{
			ID: one.Name + "Job", Method: "POST", Path: "/jobs/{id}/" + one.Name, Group: "jobs", Roles: deciders,
			Params: []param{jobID}, Summary: one.Label + ": " + one.Says, Body: &body, Match: true, Tagged: true, Answer: answer, do: act(one),
		})
	}
	body := jsonOf(why{}, "why")
	return append(all, &operation{
		ID: "retryStep", Method: "POST", Path: "/jobs/{id}/steps/{step}/retry", Group: "jobs", Roles: deciders,
		Params: []param{jobID, stepID}, Summary: "Make a step ready again, and give it to its device again", Body: &body, Match: true,
		Tagged: true, Answer: answer, do: retryStep,
	})
}

func books() []*operation {
	return []*operation{
		{ID: "listEntries", Method: "GET", Path: "/ledger/entries", Group: "books", Roles: readers,
			Summary: "What devices reported, phase by phase, by device and time",
			Params:  paged(fromTime, toTime, words("job", "JobID"), words("device", "DeviceID"), ndjson),
			Answer: []content{jsonOf(page[cost.Entry]{}, "a page of phases"), {"application/x-ndjson", nil,
				"one phase a line"}},
			do: listEntries},
		{ID: "listLedgerJobs", Method: "GET", Path: "/ledger/jobs", Group: "books", Roles: readers,
			do:      listLedgerJobs,
			Summary: "The jobs that something was reported for", Answer: []content{jsonOf(page[ledger.Job]{},
				"a page of jobs")},
			Params: paged(fromTime, toTime, words("job", "JobID"), words("device", "DeviceID"))},
		{ID: "report", Method: "GET", Path: "/reports", Group: "books", Roles: readers, Heavy: true, do: showReport,
			Summary: "The books by one dimension, with the variances from the plan",
			Params: []param{
				{Name: "by", In: "query", Type: "string", Allow: texts(account.Dimensions()),
					Usual: string(account.ByJob), Says: "rows"},
				{Name: "from", In: "query", Type: "date", Says: "first day"}, {Name: "to", In: "query",
					Type: "date", Says: "last day"},
				words("job", "JobID"), words("part", "JobPartID"), words("device", "DeviceID"), words("centre",
					"cost centre"),
				words("customer", "customer"), words("operator", "operator"), words("shift", "shift"),
				choice("undated", "only what belongs to no day", "no", "yes"),
			},
			Answer: []content{jsonOf(statement{}, "the statement")}},
	}
}

func flows() []*operation {
	reason := jsonOf(why{}, "why")
	deliveries := []works.DeliveryState{works.DeliveryWaiting, works.DeliveryDone, works.DeliveryRefused,
		works.DeliveryDead,
		works.DeliveryCancelled}
	chores := []works.ChoreState{works.ChoreWaiting, works.ChoreLeased, works.ChoreDone, works.ChoreDead,
		works.ChoreDiscarded}
	action := func(id, path, group, says string, do func(*api, *call) (*reply, error)) *operation {
		return &operation{ID: id, Method: "POST", Path: path, Group: group, Roles: deciders,
			Params: []param{itemID}, Summary: says,
			Body: &reason, Answer: []content{jsonOf(chore{}, "the work as it is now")}, do: do}
	}
	return []*operation{
		{ID: "listDevices", Method: "GET", Path: "/devices", Group: "devices", Roles: readers, do: listDevices,
			Summary: "The machines of the plant as they are now", Answer: []content{jsonOf(page[device]{},
				"all of them")}},
		{ID: "listDeliveries", Method: "GET", Path: "/deliveries", Group: "deliveries", Roles: readers,
			do:      listDeliveries,
			Summary: "What goes out to devices and partners, newest first", Answer: []content{jsonOf(page[delivery]{}, "a page of deliveries")},
			Params: paged(words("state", "only in these states", texts(deliveries)...), word("device", "DeviceID"),
				word("kind", "type of the message"), param{Name: "job", In: "query", Type: "integer", Min: 1,
					Says: "number of the job"})},
		action("retryDelivery", "/deliveries/{id}/retry", "deliveries",
			"Send a delivery again that was given up, or waits",
			choreAction("delivery.retry", deliveryChore, retry)),
		action("discardDelivery", "/deliveries/{id}/discard", "deliveries", "Give a delivery up",
			choreAction("delivery.discard", deliveryChore, discard)),
		{ID: "listChores", Method: "GET", Path: "/chores", Group: "chores", Roles: readers, do: listChores,
			Summary: "Background work; state=dead is the list of what a person has to decide on",
			Answer:  []content{jsonOf(page[chore]{}, "a page of work, oldest first")},
			Params: paged(words("state", "only in these states", texts(chores)...), words("kind",
				"only of these kinds"),
				word("subject", "what it is about"))},
		action("retryChore", "/chores/{id}/retry", "chores",
			"Try work again that is dead, or waits for its next attempt",
			choreAction("chore.retry", itself, retry)),
		action("discardChore", "/chores/{id}/discard", "chores", "Give work up that is dead, or waits",
			choreAction("chore.discard", itself, discard)),
	}
}

func people() []*operation {
	states := []works.AlertState{works.AlertOpen, works.AlertAcknowledged, works.AlertClosed}
	return []*operation{
		{ID: "listAlerts", Method: "GET", Path: "/alerts", Group: "alerts", Roles: readers, do: listAlerts,
			Summary: "What people should know of, the last raised first", Answer: []content{jsonOf(page[alert]{}, "a page of alerts")},
			Params: paged(words("state", "only in these states", texts(states)...), word("kind",
				"such as late, stop or waste"),
				param{Name: "job", In: "query", Type: "integer", Min: 1, Says: "number of the job"})},
		{ID: "acknowledgeAlert", Method: "POST", Path: "/alerts/{id}/acknowledge", Group: "alerts", Roles: deciders,
			Params: []param{itemID}, Summary: "Say that a person has seen an alert", Answer: []content{jsonOf(alert{}, "the alert")},
			do: acknowledge},
		{ID: "listMessages", Method: "GET", Path: "/messages", Group: "messages", Roles: readers, do: listMessages,
			Summary: "The inbox, newest first", Answer: []content{jsonOf(page[message]{}, "a page of messages")},
			Params: paged(word("partner", "who sent it"), choice("unanswered", "only those without an answer",
				"no", "yes"))},
		{ID: "showMessage", Method: "GET", Path: "/messages/{id}", Group: "messages", Roles: readers,
			Params:  []param{itemID},
			Summary: "One message of the inbox", Answer: []content{jsonOf(message{},
				"the message")}, do: showMessage},
		{ID: "showMessageBody", Method: "GET", Path: "/messages/{id}/body", Group: "messages", Roles: readers,
			Params:  []param{itemID},
			Summary: "What came in, as it came", Answer: []content{{"application/octet-stream", nil,
				"as it is"}}, do: showBody},
		{ID: "listLog", Method: "GET", Path: "/log", Group: "log", Roles: admins, do: listRecords,
			Summary: "Who did what, newest first",
			Answer:  []content{jsonOf(page[record]{}, "a page of the log")},
			Params: paged(word("who", "partner or person"), word("action", "such as ticket.abort"),
				word("subject", "what was done it to"))},
	}
}
