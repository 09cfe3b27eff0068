package structure

import (
	"strings"

	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// doubtful are cardinalities of the notes that a published sample or other notes
// contradict, by type and first name. They are only warned of. Acknowledge*
// stands for the acknowledges of all commands.
//
// Source: the published samples and notes named beside each.
var doubtful = map[[2]string]string{
	{"Acknowledge*", "Queue"}: "the notes on the responses to the same commands ask for none, or end it with 1.4",
	{"Color_PrintConditionColor_lr", "FileSpec"}: "the notes on Color itself and on the two others that have a " +
		"target profile make it optional",
	{"HoleList", "Hole"}:     "a list of holes has holes or lines of them; the notes ask for both",
	{"HoleList", "HoleLine"}: "a list of holes has holes or lines of them; the notes ask for both",
	{"ResponseAbortQueueEntry", "Queue"}: "the notes on the responses to the other commands about queue entries " +
		"ask for none",
	{"ResponseSetQueueEntryPosition", "Queue"}: "the notes on the responses to the other commands about queue entries " +
		"ask for none, and end it with 1.4",
	{"SignalNewJDF", "NewJDFQuParams"}:              "as of SignalStatus",
	{"SignalNodeInfo", "NodeInfoQuParams"}:          "as of SignalStatus",
	{"SignalQueueEntryStatus", "QueueEntryDefList"}: "as of SignalStatus",
	{"SignalStatus", "StatusQuParams"}: "jmf/statusSignal.jmf sends none; they matter in the query that " +
		"subscribes",
}

// doubtfulSpan tells a version note that a sample contradicts. The schema takes
// a Preview in a ResourcePool for an element inside a resource, whose ID ended
// with version 1.1; but a resource in a pool can only be linked by its ID.
//
// Source: the published samples structure/legalCompletePartition.jdf and
// structure/legalIncompletePartition.jdf.
func doubtfulSpan(n jdf.Node, attr string) bool {
	return attr == "ID" && n.Is("Preview") && n.Parent().Is("ResourcePool")
}

// doubtfulLinks are links whose version notes published samples and other notes
// contradict; they are not judged by version.
//
// Source: the published samples structure/legalCompletePartition.jdf and
// structure/legalIncompletePartition.jdf.
var doubtfulLinks = map[string]string{
	"PreviewLink": "one note ends it with version 1.3, but the samples link a Preview in 1.9, " +
		"and the note on all named processes gives no end",
}

// limitSeverity is error, but for the doubtful.
func limitSeverity(in *typeInfo, l schemas.Limit) validate.Severity {
	for t := in.Type; t != nil; t = t.Base() {
		name := t.Name()
		if strings.HasPrefix(name, "Acknowledge") {
			name = "Acknowledge*"
		}
		if _, ok := doubtful[[2]string{name, l.Names[0]}]; ok {
			return validate.Warning
		}
	}
	return validate.Error
}

// otherSeverity is how heavy an element in the namespace of the other generation
// is: where a wildcard takes it, a processor lets it pass.
func otherSeverity(in *typeInfo) validate.Severity {
	if in.model.Foreign() >= 0 {
		return validate.Warning
	}
	return validate.Error
}
