package access

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"quoin/cmd/quoin/internal/rulebook"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// Settings are the partners of a plant, and the hosts that anything may be sent
// to. They are immutable.
type Settings struct {
	Partners []*Partner
	Hosts    []Host
}

// Load reads a file of partners:
//
//	partners:
//	  - name: harbour-mis
//	    roles: [sender]
//	    token: env:HARBOUR_TOKEN
//	    requests: 20/s
//	    return to: [https://mis.example/jmf]
//	  - name: offset-b2
//	    roles: [device]
//	    certificate: 3f0a…   # SHA-256 of its client certificate
//	hosts: [mis.example, 10.20.0.0/16]
//
// The findings are its mistakes, at line and column; with any of them nobody
// is let in, and Settings is nil. The error is that of reading the file.
func Load(path string) (*Settings, []validate.Finding, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read partners: %w", err)
	}
	src := jdf.NewSource(path, string(data))
	l := &loader{text: yamltext.New(src, "the file of partners"), folder: filepath.Dir(path)}
	s := l.settings()
	l.report.Finish()
	if l.report.Worst() == validate.Error {
		return nil, l.report.Findings, nil
	}
	return s, l.report.Findings, nil
}

type loader struct {
	text   *yamltext.Text
	folder string
	report validate.Report
}

func (l *loader) add(r *validate.Rule, n *yaml.Node, path string, facts ...validate.Fact) {
	l.report.Add(r.At(l.text.Place(n, path), facts...))
}

func (l *loader) value(n *yaml.Node, path, want string) {
	got := n.Value
	if n.Kind != yaml.ScalarNode {
		got = yamltext.Describe(n)
	}
	l.add(rulebook.PartnersValue, n, path, validate.F("key", path), validate.F("got", got), validate.F("want", want))
}

func (l *loader) settings() *Settings {
	root, fault := l.text.Parse()
	if fault != nil {
		l.report.Add(rulebook.PartnersText.At(fault.Place, validate.F("problem", fault.Problem)))
		return nil
	}
	s := &Settings{}
	l.each(root, "", map[string]func(*yaml.Node, string){
		"partners": func(n *yaml.Node, path string) { s.Partners = l.partners(n, path) },
		"hosts": func(n *yaml.Node, path string) {
			for _, item := range l.list(n, path) {
				h, err := ParseHost(item.Value)
				if err != nil {
					l.value(item, path, "a host name, an address or a network, such as mis.example or 10.20.0.0/16")
					continue
				}
				s.Hosts = append(s.Hosts, h)
			}
		},
	})
	if len(s.Partners) == 0 && l.report.Worst() < validate.Error {
		l.report.Add(rulebook.PartnersText.At(l.text.Place(root, "partners"), validate.F("problem", "no partner is named")))
	}
	return s
}

// each calls the reader of each key of a group.
func (l *loader) each(n *yaml.Node, path string, keys map[string]func(*yaml.Node, string)) {
	if n.Kind != yaml.MappingNode {
		l.value(n, strings.TrimPrefix(path+" ", " ")+"group", "keys with values")
		return
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		read, known := keys[key.Value]
		if !known || seen[key.Value] {
			var names []string
			for name := range keys {
				names = append(names, name)
			}
			l.add(rulebook.PartnersKey, key, yamltext.Under(path, key.Value), validate.F("key", key.Value),
				validate.F("near", validate.Suggest(key.Value, names)), validate.F("choices", validate.Choices(sorted(names))))
			continue
		}
		seen[key.Value] = true
		read(value, yamltext.Under(path, key.Value))
	}
}

// list gives the scalars of a list, or the one scalar that stands for it.
func (l *loader) list(n *yaml.Node, path string) []*yaml.Node {
	if n.Kind == yaml.ScalarNode && !yamltext.Null(n) {
		return []*yaml.Node{n}
	}
	if n.Kind != yaml.SequenceNode {
		l.value(n, path, "a list")
		return nil
	}
	var all []*yaml.Node
	for _, item := range n.Content {
		if item.Kind != yaml.ScalarNode {
			l.value(item, path, "a word")
			continue
		}
		all = append(all, item)
	}
	return all
}

func (l *loader) partners(n *yaml.Node, path string) []*Partner {
	if n.Kind != yaml.SequenceNode {
		l.value(n, path, "a list of partners")
		return nil
	}
	var all []*Partner
	names, proofs := map[string]bool{}, map[string]string{}
	for i, item := range n.Content {
		p := l.partner(item, fmt.Sprintf("%s[%d]", path, i+1))
		if p == nil {
			continue
		}
		if names[p.Name] {
			l.add(rulebook.PartnersTwice, item, path, validate.F("what", "the name"),
				validate.F("name", p.Name), validate.F("other", p.Name))
		}
		names[p.Name] = true
		for _, proof := range p.proofs() {
			if other := proofs[proof]; other != "" {
				l.add(rulebook.PartnersTwice, item, path, validate.F("what", "what proves it"),
					validate.F("name", p.Name), validate.F("other", other))
			}
			proofs[proof] = p.Name
		}
		all = append(all, p)
	}
	return all
}

// proofs are keys of what proves a partner, to tell those of two apart.
func (p *Partner) proofs() (all []string) {
	if p.hasToken {
		all = append(all, "token "+string(p.secret[:]))
	}
	if p.certificate != "" {
		all = append(all, "certificate "+p.certificate)
	}
	return all
}

func (l *loader) partner(n *yaml.Node, path string) *Partner {
	p := &Partner{Rate: DefaultRate}
	proved := false
	before := len(l.report.Findings)
	l.each(n, path, map[string]func(*yaml.Node, string){
		"name": func(n *yaml.Node, path string) {
			if p.Name = n.Value; !plainName(p.Name) {
				l.value(n, path, "letters, digits, points and hyphens")
			}
		},
		"roles": func(n *yaml.Node, path string) { p.Roles = l.roles(n, path) },
		"token": func(n *yaml.Node, path string) { proved = true; l.token(p, n, path) },
		"certificate": func(n *yaml.Node, path string) {
			proved = true
			p.certificate = strings.ToLower(strings.ReplaceAll(n.Value, ":", ""))
			if raw, err := hex.DecodeString(p.certificate); err != nil || len(raw) != sha256.Size {
				l.value(n, path, "the SHA-256 fingerprint of the certificate, 64 hexadecimal digits")
			}
		},
		"requests": func(n *yaml.Node, path string) {
			rate, ok := parseRate(n.Value)
			if !ok {
				l.value(n, path, "requests a second or a minute, such as 20/s or 300/min")
			}
			p.Rate = rate
		},
		"return to": func(n *yaml.Node, path string) {
			for _, item := range l.list(n, path) {
				if u, err := url.Parse(item.Value); err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
					l.value(item, path, "an address such as https://mis.example/jmf")
					continue
				}
				p.Return = append(p.Return, item.Value)
			}
		},
	})
	if len(l.report.Findings) > before {
		return p
	}
	missing := func(key, want string) {
		l.add(rulebook.PartnersMissing, n, path, validate.F("key", key), validate.F("want", want))
	}
	if p.Name == "" {
		missing("name", "a name")
	}
	if len(p.Roles) == 0 {
		missing("roles", "one or more of "+roleWords())
	}
	if !proved {
		missing("token", "a token, such as env:NAME, or a certificate")
	}
	return p
}

func (l *loader) token(p *Partner, n *yaml.Node, path string) {
	text, err := Secret(n.Value, l.folder)
	switch {
	case errors.Is(err, ErrPlain):
		l.add(rulebook.PartnersPlainSecret, n, path)
	case err != nil:
		l.add(rulebook.PartnersSecret, n, path, validate.F("from", n.Value), validate.F("problem", err))
	default:
		p.secret, p.hasToken = sha256.Sum256([]byte(text)), true
	}
}

func (l *loader) roles(n *yaml.Node, path string) (all []Role) {
	for _, item := range l.list(n, path) {
		role := Role(item.Value)
		if !strings.Contains(" "+roleWords()+",", " "+item.Value+",") {
			l.value(item, path, "one of "+roleWords())
			continue
		}
		all = append(all, role)
	}
	return all
}

func roleWords() string {
	var words []string
	for _, r := range Roles() {
		words = append(words, string(r))
	}
	return strings.Join(words, ", ")
}

func plainName(s string) bool {
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < 'A' || r > 'Z') && (r < '0' || r > '9') && r != '-' && r != '.' && r != '_'
	})
}

// parseRate reads so many requests a second or a minute. As many as of four
// seconds may come at once, and ten in any case.
func parseRate(s string) (Rate, bool) {
	count, unit, _ := strings.Cut(s, "/")
	n, err := strconv.ParseFloat(strings.TrimSpace(count), 64)
	if unit = strings.TrimSpace(unit); unit == "min" {
		n /= 60
	}
	if err != nil || !(n > 0) || n > 1e6 || unit != "s" && unit != "min" {
		return DefaultRate, false
	}
	return Rate{Second: n, Burst: max(int(n*4), 10)}, true
}
