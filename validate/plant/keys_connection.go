package plant

import (
	"net/url"
	"path/filepath"
)

// Connection is how the service reaches a machine.
type Connection struct {
	URL     string // where it takes messages, http or https; "" for nowhere
	Dialect Dialect
	Folder  string // its hot folder, absolute, or relative to the folder of the service; "" for none
}

// Dialect is the generation of messages and tickets that a machine takes.
type Dialect string

// The dialects.
const (
	JMF  Dialect = "jmf"
	XJMF Dialect = "xjmf"
)

// Reached reports whether there is any way to the machine.
func (c Connection) Reached() bool { return c.URL != "" || c.Folder != "" }

func connectionSchema() schema[Connection] {
	return schema[Connection]{name: "connection", keys: []key[Connection]{
		may("url", messageURL, func(c *Connection) *string { return &c.URL },
			"at which it takes messages; only a hot folder when not given"),
		need("dialect", oneOf(JMF, XJMF), func(c *Connection) *Dialect { return &c.Dialect },
			"generation of the messages and tickets that it takes"),
		may("hot folder", text, func(c *Connection) *string { return &c.Folder },
			"folder that it takes tickets from, when it has no url"),
	}, senses: []sense[Connection]{{"url", func(c *Connection) string {
		switch {
		case !c.Reached():
			return "neither a url nor a hot folder is given, so that nothing could be sent"
		case c.URL != "" && c.Folder != "":
			return "both a url and a hot folder are given, so that each ticket would come twice"
		}
		return ""
	}}}}
}

// messageURL is an address that messages are posted to.
var messageURL = scalar("an address such as http://press-1.works.example:8080/jmf",
	func(_ *reader, text string) (string, *fault) {
		u, err := url.Parse(text)
		switch {
		case err != nil || u.Host == "":
			return "", badValue("it is not a whole URL")
		case u.Scheme != "http" && u.Scheme != "https":
			return "", badValue("messages go by http or https")
		case u.User != nil:
			return "", badValue("it holds a password, which plant files are not for")
		}
		return text, nil
	})

// connections shows how machines are reached.
func (s *sheet) connections() {
	rows := [][]string{{"machine", "takes", "at"}}
	for _, m := range s.plant.Machines() {
		if c := m.Connection; c.Reached() {
			at := c.URL
			if at == "" {
				at = "hot folder " + filepath.ToSlash(c.Folder)
			}
			rows = append(rows, []string{m.ID, string(c.Dialect), at})
		}
	}
	s.table("Connections", rows)
}
