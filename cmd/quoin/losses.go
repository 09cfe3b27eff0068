//go:build !checker

package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"quoin/convert"
	"quoin/jdf"
)

// lossList writes what conversions changed and lost.
type lossList struct {
	results []*convert.Result
	files   int
}

// mostNames is how many names a cause lists.
const mostNames = 4

// text writes one cause a paragraph: how often, of what, why, and where first.
func (l *lossList) text(w io.Writer) error {
	out := bufio.NewWriter(w)
	var sum convert.Tally
	for _, r := range l.results {
		causes, tally := r.Causes()
		sum.Carried, sum.Changed, sum.Lost = sum.Carried+tally.Carried, sum.Changed+tally.Changed, sum.Lost+tally.Lost
		for _, c := range causes {
			fmt.Fprintf(out, "%s %s, %d times: %s: %s\n", c.Rule.Severity, c.Rule.ID, c.Count, names(c.Names), c.Reason)
			fmt.Fprintf(out, "    %s\n", places(c))
		}
	}
	fmt.Fprintf(out, "%s: %s carried as they were, %d in another way, %d lost\n", counted(l.files, "file"),
		counted(sum.Carried, "element and attribute"), sum.Changed, sum.Lost)
	return out.Flush()
}

// counted writes a number with its noun.
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if head, tail, ok := strings.Cut(noun, " and "); ok {
		return fmt.Sprintf("%d %ss and %ss", n, head, tail)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func names(all []string) string {
	if len(all) > mostNames {
		return fmt.Sprintf("%s and %d more", strings.Join(all[:mostNames], ", "), len(all)-mostNames)
	}
	return strings.Join(all, ", ")
}

func places(c convert.Cause) string {
	var at []string
	for _, p := range c.First {
		pos := p.Pos()
		at = append(at, fmt.Sprintf("%s:%d:%d", p.File(), pos.Line, pos.Column))
	}
	s := strings.Join(at, ", ")
	if more := c.Count - len(c.First); more > 0 {
		s += fmt.Sprintf(" and %d more", more)
	}
	return s
}

// The JSON forms. Field names are stable.
type (
	lossPlace struct {
		File   string `json:"file"`
		Line   int    `json:"line"`   // from 1
		Column int    `json:"column"` // from 1, in Unicode code points
		Path   string `json:"path"`
	}
	lossCause struct {
		ID       string      `json:"id"`
		Severity string      `json:"severity"`
		Reason   string      `json:"reason"`
		Names    []string    `json:"names"`
		Count    int         `json:"count"`
		First    []lossPlace `json:"first"`
	}
	lossItem struct {
		ID      string    `json:"id"`
		Outcome string    `json:"outcome"` // changed or lost
		What    string    `json:"what"`    // element, attribute, text or remark
		Name    string    `json:"name"`
		Reason  string    `json:"reason"`
		At      lossPlace `json:"at"`
	}
	lossHead struct {
		Version int         `json:"version"`
		Files   int         `json:"files"`
		Carried int         `json:"carried"` // elements and attributes
		Changed int         `json:"changed"`
		Lost    int         `json:"lost"`
		Causes  []lossCause `json:"causes"`
	}
)

func lossPlaceOf(p jdf.Place) lossPlace {
	pos := p.Pos()
	return lossPlace{p.File(), pos.Line, pos.Column, p.Path()}
}

func (l *lossList) head() lossHead {
	h := lossHead{Version: 1, Files: l.files, Causes: []lossCause{}}
	for _, r := range l.results {
		causes, tally := r.Causes()
		h.Carried, h.Changed, h.Lost = h.Carried+tally.Carried, h.Changed+tally.Changed, h.Lost+tally.Lost
		for _, c := range causes {
			out := lossCause{ID: c.Rule.ID, Severity: c.Rule.Severity.String(), Reason: c.Reason, Names: c.Names, Count: c.Count}
			for _, p := range c.First {
				out.First = append(out.First, lossPlaceOf(p))
			}
			h.Causes = append(h.Causes, out)
		}
	}
	return h
}

// causesJSON writes the folded list as one JSON object.
func (l *lossList) causesJSON(w io.Writer) error {
	enc := json.NewEncoder(w)
	enc.SetIndent("", "  ")
	return enc.Encode(l.head())
}

// json writes the folded list and every piece, one a line, so that the list of
// a large ticket is never held as a whole.
func (l *lossList) json(w io.Writer) error {
	head, err := json.Marshal(l.head())
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	out.Write(head[:len(head)-1])
	out.WriteString(",\"items\":[")
	separator := "\n"
	for _, r := range l.results {
		for i := range r.Losses() {
			item := lossItem{i.Rule.ID, i.Outcome.String(), i.What.String(), i.Name, i.Reason, lossPlaceOf(i.Place)}
			line, err := json.Marshal(item)
			if err != nil {
				return err
			}
			out.WriteString(separator)
			out.Write(line)
			separator = ",\n"
		}
	}
	out.WriteString("\n]}\n")
	return out.Flush()
}

// lines writes every piece as one line of text.
func (l *lossList) lines(w io.Writer) error {
	out := bufio.NewWriter(w)
	for _, r := range l.results {
		for i := range r.Losses() {
			pos := i.Place.Pos()
			fmt.Fprintf(out, "%s:%d:%d: %s %s: %s: %s\n", i.Place.File(), pos.Line, pos.Column, i.Outcome, i.Name, i.Reason,
				i.Place.Path())
		}
	}
	return out.Flush()
}

// writeOutputs writes documents into a folder: first all under temporary names,
// then all are put into place. A name that two of them have is numbered.
func writeOutputs(dir string, outputs []convert.Output) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("make folder for tickets: %w", err)
	}
	taken := map[string]bool{}
	var temps, finals []string
	defer func() {
		for _, t := range temps {
			_ = os.Remove(t) // what is in place already has another name
		}
	}()
	for _, o := range outputs {
		ext := filepath.Ext(o.Name)
		name := o.Name
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(o.Name, ext), n, ext)
		}
		taken[strings.ToLower(name)] = true
		final := filepath.Join(dir, name)
		temp, err := tempFile(final, func(w io.Writer) error { _, err := o.WriteTo(w); return err })
		if err != nil {
			return err
		}
		temps, finals = append(temps, temp), append(finals, final)
	}
	for i, temp := range temps {
		if err := os.Rename(temp, finals[i]); err != nil {
			return fmt.Errorf("write %q: %w", finals[i], err)
		}
	}
	return nil
}

// streamFile writes a file under another name first, so that whoever reads it
// finds the old one or the new one, never half of either.
func streamFile(path string, write func(io.Writer) error) error {
	temp, err := tempFile(path, write)
	if err != nil {
		return err
	}
	if err := os.Rename(temp, path); err != nil {
		return fmt.Errorf("write %q: %w", path, errors.Join(err, os.Remove(temp)))
	}
	return nil
}

// tempFile writes a file beside its place, down to the disk.
func tempFile(path string, write func(io.Writer) error) (string, error) {
	temp, err := os.CreateTemp(filepath.Dir(path), ".quoin-*.tmp")
	if err != nil {
		return "", fmt.Errorf("write %q: %w", path, err)
	}
	err = errors.Join(write(temp), temp.Chmod(0o644), temp.Sync(), temp.Close())
	if err != nil {
		return "", fmt.Errorf("write %q: %w", path, errors.Join(err, os.Remove(temp.Name())))
	}
	return temp.Name(), nil
}
