package convert

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/jdf/message"
)

// thereAndBack converts there and back.
func thereAndBack(t *testing.T, doc *jdf.Document) (there, back *Result, docs []*jdf.Document) {
	t.Helper()
	there, err := To([]*jdf.Document{doc}, other[doc.Kind], Options{Clock: noon})
	require.NoError(t, err)
	back, err = To(reread(t, there.Outputs), doc.Kind, Options{Clock: noon})
	require.NoError(t, err)
	return there, back, reread(t, back.Outputs)
}

// required are facts that a generation must state and the other may leave
// unsaid; a conversion states the least of them.
//
// Source: the published schemas: JDF/@Status and Component/@ComponentType,
// Media/@MediaType and BinderySignature/@BinderySignatureType are required.
var required = strings.NewReplacer(
	`, status "Waiting"`, "", `status "Waiting", `, "", `status "Waiting"`, "",
	`type "FinalProduct", `, "", `type "FinalProduct"`, "", `type "PartialProduct", `, "", `type "PartialProduct"`, "",
	`type "Other", `, "", `type "Other"`, "", `type "Fold", `, "", `type "Fold"`, "",
	`binding: type "None"`, "binding:",
)

// says lists what documents say of a job, a line a fact, each once. One job may
// stand in several documents.
func says(t *testing.T, docs ...*jdf.Document) []string {
	var all []string
	for _, d := range docs {
		for l := range strings.Lines(outline(t, d)) {
			l = strings.TrimRight(required.Replace(strings.TrimRight(l, "\n")), ", ")
			if _, rest, ok := strings.Cut(l, ":"); ok && strings.TrimSpace(rest) == "" {
				continue
			}
			all = append(all, l)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func differences(a, c []string) string {
	var b strings.Builder
	for _, l := range a {
		if !slices.Contains(c, l) {
			fmt.Fprintf(&b, "\t- %s\n", l)
		}
	}
	for _, l := range c {
		if !slices.Contains(a, l) && !strings.HasPrefix(l, "job: ") {
			fmt.Fprintf(&b, "\t+ %s\n", l)
		}
	}
	return b.String()
}

// There and back again, a ticket says the same of its job, but for what the loss
// reports list. What differs is kept in a file, with the entries of the reports
// that explain it; a sample that is not in it does not differ.
//
// Source: the published samples.
func TestRoundTrip(t *testing.T) {
	var out strings.Builder
	out.WriteString("# What differs after a ticket went there and back, and what the reports say of it. " +
		"All others are the same.\n")
	same := 0
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindXJDF} {
		samples := samplesOf(t, kind)
		for _, name := range sorted(samples) {
			doc := samples[name]
			there, back, docs := thereAndBack(t, doc)
			diff := differences(says(t, doc), says(t, docs...))
			if diff == "" {
				same++
				continue
			}
			if len(explained(there, back)) == 0 {
				t.Errorf("%s: a difference and no loss", name)
			}
			fmt.Fprintf(&out, "%s\n%s", name, diff)
			for _, reason := range explained(there, back) {
				fmt.Fprintf(&out, "\t  %s\n", reason)
			}
		}
	}
	golden(t, "testdata/roundtrip.txt", out.String())
	all := kindsConverted[jdf.KindJDF] + kindsConverted[jdf.KindXJDF]
	require.Greater(t, same, all*4/5, "four in five come back the same")
}

// explained lists the losses that touch what a Job holds, each sentence once.
func explained(results ...*Result) []string {
	var all []string
	for _, r := range results {
		for i := range r.Losses() {
			if i.Outcome == Lost && i.What == Attribute && !idle[i.Name] {
				all = append(all, i.Finding().Message())
			}
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// idle are losses that no Job shows.
var idle = map[string]bool{"JDF/@ID": true, "JDF/@MaxVersion": true, "Header/@DeviceID": true}

// Messages say the same after the way there and back: families, types, queue
// entries, subscriptions and what is told of devices and resources.
//
// Source: the published samples.
func TestMessagesRoundTrip(t *testing.T) {
	checked := 0
	for _, kind := range []jdf.Kind{jdf.KindJMF, jdf.KindXJMF} {
		samples := samplesOf(t, kind)
		for _, name := range sorted(samples) {
			_, _, docs := thereAndBack(t, samples[name])
			require.Len(t, docs, 1, name)
			if reason := outdated[name]; reason != "" {
				continue
			}
			a, c := message.Decode(samples[name]), message.Decode(docs[0])
			require.Len(t, c.Messages, len(a.Messages), name)
			for i, m := range a.Messages {
				require.Equal(t, told(m), told(c.Messages[i]), "%s message %d", name, i)
				checked++
			}
		}
	}
	require.Greater(t, checked, 80)
}

// outdated are samples whose messages the last version does not have.
//
// Source: the published JDF schema, last version of the message types.
var outdated = map[string]string{
	"jdf/samples/ap_schema/JMF-xsitype.jdf": "its messages are of types that ended with version 1.4",
}

// told is what a message says, without what only one generation has.
func told(m *message.Message) []string {
	family := m.Family
	if family == message.Acknowledge {
		family = message.Response
	}
	lines := []string{fmt.Sprint(family, " ", sameType(m.Type), " ", plainToken(m.RefID.Value))}
	if m.Subscription != nil {
		lines = append(lines, "subscribes "+m.Subscription.URL.Value)
	}
	for _, q := range m.QueueEntries {
		// Source: the published JDF schema: answers about a queue entry hold a Queue, no entry.
		if family == message.Response && sameType(m.Type) == "ModifyQueueEntry" {
			break
		}
		lines = append(lines, fmt.Sprint("entry ", q.ID.Value, " ", q.Status.Value))
	}
	for _, a := range m.Audits {
		switch {
		case a.Phase != nil:
			lines = append(lines, fmt.Sprint("phase ", a.Phase.State, " ", a.Phase.Good.Value, " ", a.Phase.Start.Value))
		case a.Consumption != nil:
			lines = append(lines, fmt.Sprint("used ", a.Consumption.Kind, " ", a.Consumption.Amounts.Good.Value))
		}
	}
	return lines
}

// sameType is the type of a message where several become one on the way.
func sameType(s string) string {
	if to, ok := theTable().word("message type", s, true); ok {
		return to
	}
	return s
}
