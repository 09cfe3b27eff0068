package rules

import (
	"net/url"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/value"
	"quoin/schemas"
	"quoin/validate"
)

var messageChecks = []check{
	{
		Rule: &validate.Rule{
			ID: "message/answer-to-nothing", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {name} does not say what it answers; want refID",
			Do:  "write the ID of the query or command into refID",
			Why: "The receiver finds its question by refID (from memory: Messaging chapter of both generations). Five " +
				"samples leave it out.",
		},
		kinds: messages, fragment: asNote, run: answerToNothing,
		Bad: `<XJMF><Header DeviceID="P1" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="0">
  <Header DeviceID="P1" ID="R1" Time="2026-03-02T08:00:00Z"/>
</ResponseStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P1" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="0">
  <Header DeviceID="P1" ID="R1" refID="Q1" Time="2026-03-02T08:00:00Z"/>
</ResponseStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/question-without-id", Severity: validate.Error, Mends: validate.Sender,
			Say: "the {name} has no ID, by which it could be answered",
			Do:  "give each query and command an ID",
			Why: "The answer names the question by its ID (from memory: Messaging chapter; the JDF schema requires it).",
		},
		kinds: onlyXJMF, fragment: asNote, run: questionWithoutID,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryStatus>
  <Header DeviceID="M" Time="2026-03-02T08:00:00Z"/>
</QueryStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryStatus>
  <Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/>
</QueryStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/unknown-type", Severity: validate.Warning, Mends: validate.Sender,
			Say: "{got} is no type of message that the standard has{near}",
			Do:  "write a type of the standard, or one with a prefix and its xsi:type for a message of your own",
			Why: "Without xsi:type a message is what its Type says, and nobody answers to a type that he does not know. " +
				"The published schema has the types of each family.",
		},
		kinds: onlyJMF, run: unknownMessage,
		Bad: `<JMF SenderID="MIS" TimeStamp="2026-03-02T08:00:00Z" Version="1.5">
  <Query ID="Q1" Type="Statuss"/>
</JMF>`,
		Good: `<JMF SenderID="MIS" TimeStamp="2026-03-02T08:00:00Z" Version="1.5">
  <Query ID="Q1" Type="Status"/>
</JMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/answer-of-other-type", Severity: validate.Error, Mends: validate.Sender,
			Say: "the answer is of type {got}, and the question {id|q} of type {want}",
			Do:  "answer with a response of type {want}",
			Why: "A response has the type of what it answers (from memory: Messaging chapter of both generations).",
		},
		kinds: messages, run: answerOfOtherType,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <QueryStatus><Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/></QueryStatus>
  <ResponseResource ReturnCode="0"><Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/></ResponseResource>
</XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <QueryStatus><Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/></QueryStatus>
  <ResponseStatus ReturnCode="0"><Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/></ResponseStatus>
</XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/return-code-unexplained", Severity: validate.Warning, Mends: validate.Sender,
			Say: "ReturnCode is {got}, and no Notification says why",
			Do:  "add a Notification of class Warning or Error with a Comment",
			Why: "A response that fails says why, so that somebody can mend it (MIS to conventional printing conformance, " +
				"ResponseStatus; from memory: return codes).",
		},
		kinds: messages, fragment: asNote, run: returnCodeUnexplained,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="5">
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/>
</ResponseStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="5">
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/>
  <Notification Class="Error"><Comment>no such step</Comment></Notification>
</ResponseStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/return-code-zero", Severity: validate.Warning, Mends: validate.Sender,
			Say: "ReturnCode is 0, and a Notification of class {got} stands beside it",
			Do:  "return the code of the error",
			Why: "0 says that all was done (MIS to conventional printing conformance, ResponseStatus); a missing code " +
				"counts as 0.",
		},
		kinds: messages, run: returnCodeZero,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="0">
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/><Notification Class="Error"/>
</ResponseStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><ResponseStatus ReturnCode="0">
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/><Notification Class="Warning"/>
</ResponseStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/subscription-useless", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} asks for signals, and there are none of type {type}",
			Do:  "take the Subscription out",
			Why: "One can only subscribe to messages that exist as signals (the families of the XJDF schema).",
		},
		kinds: onlyXJMF, run: subscriptionUseless,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryKnownMessages>
  <Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/><Subscription URL="http://mis.example/xjmf"/>
</QueryKnownMessages></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryStatus>
  <Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/><Subscription URL="http://mis.example/xjmf"/>
</QueryStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/repeat-time", Severity: validate.Error, Mends: validate.Sender,
			Say: "RepeatTime is {got}; want more than 0 seconds",
			Do:  "leave it out to be told of changes only",
			Why: "RepeatTime is the time between two signals (from memory: Subscription).",
		},
		kinds: all, run: repeatTime,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryStatus>
  <Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/>
  <Subscription URL="http://mis.example/xjmf" RepeatTime="0"/>
</QueryStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><QueryStatus>
  <Header DeviceID="M" ID="Q1" Time="2026-03-02T08:00:00Z"/>
  <Subscription URL="http://mis.example/xjmf" RepeatTime="30"/>
</QueryStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/return-url", Severity: validate.Error, Mends: validate.Sender,
			Say: "{name} is {got|q}; want an absolute {want} URL",
			Do:  "write the address at which messages are taken",
			Why: "The device sends its message there, from a place where a relative URL means nothing (from memory: " +
				"QueueSubmissionParams, Subscription). Signals may also be written into a folder, for URLSchemes of " +
				"MessageService may list file (from memory: JMF, KnownMessages).",
		},
		kinds: messages, run: returnURL,
		Bad: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandSubmitQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <QueueSubmissionParams URL="http://mis.example/4711.xjdf" ReturnJMF="xjmf/return"/>
</CommandSubmitQueueEntry></XJMF>`,
		Good: `<XJMF><Header DeviceID="M" Time="2026-03-02T08:00:00Z"/><CommandSubmitQueueEntry>
  <Header DeviceID="M" ID="C1" Time="2026-03-02T08:00:00Z"/>
  <QueueSubmissionParams URL="http://mis.example/4711.xjdf" ReturnJMF="http://mis.example/xjmf"/>
</CommandSubmitQueueEntry></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/counter-unit", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the device counts {name} and gives no CounterUnit",
			Do:  "write CounterUnit=\"count\" for sheets",
			Why: "A counter without unit may count sheets or metres (MIS to conventional printing conformance, DeviceInfo).",
		},
		kinds: onlyXJMF, fragment: leftOut, run: counterUnit,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><DeviceInfo Status="Production" ProductionCounter="1200"/>
</SignalStatus></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalStatus>
  <Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <DeviceInfo Status="Production" ProductionCounter="1200" CounterUnit="count"/>
</SignalStatus></XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/counter-backwards", Severity: validate.Warning, Mends: validate.Operator,
			Say: "the total counter of the device went from {want} back to {got}",
			Do:  "check the order of the messages, or report the reset of the counter",
			Why: "TotalProductionCounter counts since the device was built and never runs back (from memory: DeviceInfo).",
		},
		kinds: messages, run: counterBackwards,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <SignalStatus><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
    <DeviceInfo Status="Production" CounterUnit="count" TotalProductionCounter="9000"/></SignalStatus>
  <SignalStatus><Header DeviceID="P" Time="2026-03-02T08:05:00Z"/>
    <DeviceInfo Status="Production" CounterUnit="count" TotalProductionCounter="8000"/></SignalStatus>
</XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
  <SignalStatus><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/>
    <DeviceInfo Status="Production" CounterUnit="count" TotalProductionCounter="9000"/></SignalStatus>
  <SignalStatus><Header DeviceID="P" Time="2026-03-02T08:05:00Z"/>
    <DeviceInfo Status="Production" CounterUnit="count" TotalProductionCounter="9100"/></SignalStatus>
</XJMF>`,
	},
	{
		Rule: &validate.Rule{
			ID: "message/scope-differs", Severity: validate.Warning, Mends: validate.Sender,
			Say: "the answer is about {got} resources, and the question about {want}",
			Do:  "answer in the Scope that was asked for",
			Why: "The Scope of ResourceInfo is the one asked for (MIS to conventional printing conformance, ResourceInfo).",
		},
		kinds: onlyXJMF, run: scopeDiffers,
		Bad: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalResource>
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/><ResourceQuParams Scope="Job"/>
  <ResourceInfo Scope="Present"><ResourceSet Name="Media"/></ResourceInfo>
</SignalResource></XJMF>`,
		Good: `<XJMF><Header DeviceID="P" Time="2026-03-02T08:00:00Z"/><SignalResource>
  <Header DeviceID="P" refID="Q1" Time="2026-03-02T08:00:00Z"/><ResourceQuParams Scope="Job"/>
  <ResourceInfo Scope="Job"><ResourceSet Name="Media"/></ResourceInfo>
</SignalResource></XJMF>`,
	},
}

// mail reads the messages of the document.
func (p *pass) mail() []*message.Message { return p.index.mail }

func messageName(m *message.Message) string { return string(m.Family) + " " + m.Type }

func answerToNothing(p *pass) {
	for _, m := range p.mail() {
		if (m.Family == message.Response || m.Family == message.Acknowledge) && m.RefID.Value == "" {
			p.at(m.Node.NamePlace(), fact("name", messageName(m)))
		}
	}
}

func questionWithoutID(p *pass) {
	for _, m := range p.mail() {
		if (m.Family == message.Query || m.Family == message.Command) && m.ID.Value == "" {
			p.at(m.Node.NamePlace(), fact("name", messageName(m)))
		}
	}
}

// families are those of messages of the first generation. A type of another family
// passes: the schema has Notification for queries and signals, and no response to it.
var families = []string{"Query", "Command", "Signal", "Response", "Acknowledge", "Registration"}

// isMessage reports whether a family has messages of a type.
func isMessage(family, name string) bool {
	t := schemas.JDF().Type(family + name)
	return t != nil && t.DerivesFrom(schemas.JDF().Type(family))
}

func unknownMessage(p *pass) {
	for _, m := range p.mail() {
		family := m.Node.Local()
		if m.Space != "" || m.Type == "" || strings.Contains(m.Type, ":") || m.Node.AttrNS(jdf.NamespaceXSI, "type").Valid() {
			continue
		}
		if slices.ContainsFunc(families, func(f string) bool { return isMessage(f, m.Type) }) {
			continue
		}
		types := func() []string {
			var all []string
			for _, t := range schemas.JDF().DerivedTypes(family) {
				all = append(all, strings.TrimPrefix(t, family))
			}
			return all
		}
		p.at(m.TypeAt, fact("got", m.Type), fact("near", p.near(m.Type, types)))
	}
}

func answerOfOtherType(p *pass) {
	asked := map[string]*message.Message{}
	for _, m := range p.mail() {
		if m.ID.Value != "" && (m.Family == message.Query || m.Family == message.Command) {
			asked[m.ID.Value] = m
		}
	}
	for _, m := range p.mail() {
		q := asked[m.RefID.Value]
		if m.Family == message.Response && q != nil && q.Type != m.Type {
			p.atWith(m.TypeAt, q.TypeAt, "the question is here", fact("got", m.Type), fact("id", q.ID.Value),
				fact("want", q.Type))
		}
	}
}

func returnCodeUnexplained(p *pass) {
	for _, m := range p.mail() {
		if m.Family == message.Response && m.Returned() != 0 && !m.Node.Child("Notification").Valid() {
			p.at(m.ReturnCode.Place, fact("got", m.Returned()))
		}
	}
}

func returnCodeZero(p *pass) {
	for _, m := range p.mail() {
		class := m.Node.Child("Notification").Attr("Class")
		if m.Family == message.Response && m.Type != "Notification" && m.Returned() == 0 &&
			(class.Value() == "Error" || class.Value() == "Fatal") {
			p.atWith(class.Place(), m.ReturnCode.Place, "the code is here", fact("got", class.Value()))
		}
	}
}

func subscriptionUseless(p *pass) {
	for _, m := range p.mail() {
		if m.Subscription != nil && m.Space == "" && !schemas.XJDF().Has("Signal"+m.Type) {
			p.at(m.Subscription.Node.NamePlace(), fact("name", messageName(m)), fact("type", m.Type))
		}
	}
}

func repeatTime(p *pass) {
	for a := range p.having("RepeatTime") {
		if v, err := value.ParseDouble(a.Value()); err == nil && v <= 0 {
			p.at(a.Place(), fact("got", a.Value()))
		}
	}
}

func returnURL(p *pass) {
	check := func(a jdf.Attr, folder bool, want string) {
		if !a.Valid() {
			return
		}
		u, err := url.Parse(strings.TrimSpace(a.Value()))
		web := err == nil && (u.Scheme == "http" || u.Scheme == "https") && u.Host != ""
		file := err == nil && folder && u.Scheme == "file" && strings.HasPrefix(u.Path, "/")
		if !web && !file {
			p.at(a.Place(), fact("name", attrName(a)), fact("got", a.Value()), fact("want", want))
		}
	}
	for a := range p.having("ReturnJMF") {
		check(a, false, "http or https")
	}
	for n := range p.named("Subscription") {
		check(n.Attr("URL"), true, "http, https or file")
	}
}

func counterUnit(p *pass) {
	for n := range p.named("DeviceInfo") {
		for _, name := range []string{"ProductionCounter", "TotalProductionCounter"} {
			if a := n.Attr(name); a.Valid() && !n.Has("CounterUnit") {
				p.at(a.Place(), fact("name", name))
				break
			}
		}
	}
}

func counterBackwards(p *pass) {
	last := map[string]jdf.Attr{}
	sender, of := "", jdf.Node{}
	for a := range p.having("TotalProductionCounter") {
		info := a.Owner()
		if message := info.Parent(); message != of {
			of, sender = message, message.Child("Header").Get("DeviceID")+message.Get("SenderID")
		}
		device := sender + info.Get("DeviceID") + info.Child("Device").Get("DeviceID")
		got, ok := numberOf(a)
		want, okWant := numberOf(last[device])
		if ok && okWant && got.LessThan(want) {
			p.atWith(a.Place(), last[device].Place(), "counted before", fact("want", want), fact("got", got))
		}
		last[device] = a
	}
}

func scopeDiffers(p *pass) {
	asked := map[jdf.Node]jdf.Attr{}
	for q := range p.named("ResourceQuParams") {
		asked[q.Parent()] = q.Attr("Scope")
	}
	for info := range p.named("ResourceInfo") {
		got, want := info.Attr("Scope"), asked[info.Parent()]
		if got.Valid() && want.Valid() && got.Value() != want.Value() {
			p.atWith(got.Place(), want.Place(), "the question is here", fact("got", got.Value()), fact("want", want.Value()))
		}
	}
}
