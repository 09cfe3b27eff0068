package plant

import (
	"net"
	"net/mail"
	"strings"
	"time"

	"github.com/shopspring/decimal"
)

// alertsGroup is the key "alerts" of a plant.
func alertsGroup() kind[*Alerts] {
	return mapped(group("alerts", alertsSchema()), func(a Alerts) *Alerts { return &a })
}

func alertsSchema() schema[Alerts] {
	attempts := count("a count such as 3 attempts", 1, "attempts")
	return schema[Alerts]{name: "alerts", keys: []key[Alerts]{
		may("late", duration, func(a *Alerts) *time.Duration { return &a.Late },
			"how far a job may fall behind its plan, or what was promised"),
		may("stop", duration, func(a *Alerts) *time.Duration { return &a.Stop }, "how long a machine may stand"),
		may("waste", share(100), func(a *Alerts) *decimal.Decimal { return &a.Waste },
			"waste beyond what the plan allows, of the good that is wanted"),
		may("colour", oneOf(ColourOut, ColourDrift), func(a *Alerts) *ColourAlert { return &a.Colour },
			"out: a run is out of tolerance; drift: or on its way there"),
		may("silent", duration, func(a *Alerts) *time.Duration { return &a.Silent },
			"how long a machine at work may say nothing"),
		may("refused", yes, func(a *Alerts) *bool { return &a.Refused }, "whether each refused ticket is told"),
		may("free disk", share(100), func(a *Alerts) *decimal.Decimal { return &a.FreeDisk },
			"how much of the disk of the store has to be free"),
		may("delivery", attempts, func(a *Alerts) *int { return &a.Delivery },
			"attempts after which a delivery that fails is told"),
		may("settle", duration, func(a *Alerts) *time.Duration { return &a.Settle },
			"how long it has to be past before an alert is closed; 5 min when not given"),
		may("back", share(100), func(a *Alerts) *decimal.Decimal { return &a.Back },
			"share of a limit that a value has to fall below to count as past; 80 % when not given"),
		may("gather", duration, func(a *Alerts) *time.Duration { return &a.Gather },
			"how long alerts are gathered for one notice; 2 min when not given"),
		may("notices", entries("notices", "notice", noticeSchema(), func(n *Notice) string { return n.ID }),
			func(a *Alerts) *[]*Notice { return &a.Notices }, "who is told beside the board"),
		may("mail", group("mail", mailSchema()), func(a *Alerts) *Mail { return &a.Mail }, "how mail leaves the house"),
	}, fresh: func(a *Alerts) {
		a.Settle, a.Gather, a.Back = 5*time.Minute, 2*time.Minute, decimal.NewFromInt(80)
	}, senses: []sense[Alerts]{{"notices", func(a *Alerts) string {
		for _, n := range a.Notices {
			if len(n.Mail) > 0 && a.Mail.Server == "" {
				return "notice " + n.ID + " is to be mailed, and no mail server is given"
			}
		}
		return ""
	}}}}
}

func noticeSchema() schema[Notice] {
	return schema[Notice]{name: "notice", keys: []key[Notice]{
		need("id", word, func(n *Notice) *string { return &n.ID }, "what logs call it"),
		may("webhook", messageURL, func(n *Notice) *string { return &n.Webhook },
			"address that notices are posted to as JSON; its host has to be on the allow-list"),
		may("mail", listOf("a list such as [press@works.example]", mailAddress),
			func(n *Notice) *[]string { return &n.Mail }, "addresses that they are mailed to"),
		may("kinds", words(AlertKinds()...), func(n *Notice) *[]string { return &n.Kinds },
			"of alerts; all when not given"),
	}, senses: []sense[Notice]{{"id", func(n *Notice) string {
		if (n.Webhook == "") == (len(n.Mail) == 0) {
			return "it has to have either a webhook or addresses of mail"
		}
		return ""
	}}}, mark: func(n *Notice) *Mark { return &n.Mark }}
}

func mailSchema() schema[Mail] {
	return schema[Mail]{name: "mail", keys: []key[Mail]{
		need("server", mailServer, func(m *Mail) *string { return &m.Server }, "host and port that takes mail"),
		need("from", mailAddress, func(m *Mail) *string { return &m.From }, "sender of the notices"),
		may("user", text, func(m *Mail) *string { return &m.User }, "name for the server; none when not given"),
		may("password", secretPlace, func(m *Mail) *string { return &m.Password }, "where its password is kept"),
	}}
}

var mailAddress = scalar("an address such as press@works.example", func(_ *reader, text string) (string, *fault) {
	a, err := mail.ParseAddress(text)
	if err != nil || a.Address != text {
		return "", badValue("it is no address of mail")
	}
	return text, nil
})

var mailServer = scalar("a host and port such as mail.works.example:587", func(_ *reader, text string) (string, *fault) {
	host, port, err := net.SplitHostPort(text)
	if err != nil || host == "" || port == "" {
		return "", badValue("it has no port")
	}
	return text, nil
})

// secretPlace is where a secret is kept, never the secret.
var secretPlace = scalar("env:NAME or file:PATH", func(_ *reader, text string) (string, *fault) {
	if kind, place, _ := strings.Cut(text, ":"); kind != "env" && kind != "file" || place == "" {
		return "", badValue("plant files are not for secrets")
	}
	return text, nil
})
