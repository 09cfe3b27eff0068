package api

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"strings"

	"quoin/cmd/quoin/internal/desk"
	"quoin/convert"
	"quoin/jdf"
)

// losses is what a conversion changed and lost, folded by its cause.
type losses struct {
	Documents []string `json:"documents" doc:"names of the files"`
	Carried   int      `json:"carried" doc:"elements and attributes that stand as they were"`
	Changed   int      `json:"changed"`
	Lost      int      `json:"lost"`
	Causes    []cause  `json:"causes"`
}

// cause is one reason for which pieces were changed or lost.
type cause struct {
	ID       string   `json:"id" doc:"of the rule"`
	Severity string   `json:"severity"`
	Reason   string   `json:"reason"`
	Names    []string `json:"names" doc:"of the pieces, as Element or Element/@Attr"`
	Count    int      `json:"count"`
	First    []place  `json:"first" doc:"three places at most"`
}

// lossesName is the file in the ZIP that tells the losses.
const lossesName = "losses.json"

func convertDocument(a *api, c *call) (*reply, error) {
	d, err := c.document()
	if err != nil {
		return nil, err
	}
	items, err := desk.Items(d.name, d.media, d.data)
	if err != nil {
		return nil, unreadable(err)
	}
	if len(items) == 0 {
		return nil, unreadable(fmt.Errorf("there is no ticket and no message in %q", d.name))
	}
	first := items[0].Document.Kind
	var docs []*jdf.Document
	for _, i := range items {
		if i.Document.Kind == first {
			docs = append(docs, i.Document)
		}
	}
	if len(docs) < len(items) {
		return nil, unreadable(fmt.Errorf("%q holds documents of several kinds; send those of one kind", d.name))
	}
	opt, target, err := conversion(c, first)
	if err != nil {
		return nil, err
	}
	opt.Clock = a.parts.Clock
	result, err := convert.To(docs, target, opt)
	if err != nil {
		return nil, &problem{Status: http.StatusUnprocessableEntity, Code: "no-conversion", Where: "query to",
			Detail: err.Error(),
			Do:     "ask for a generation and version that the document can be written in"}
	}
	return converted(result, c.text("answer"))
}

func conversion(c *call, from jdf.Kind) (convert.Options, jdf.Kind, error) {
	opt := convert.Options{Split: convert.Split(c.text("split")), Keep: c.text("keep") == "yes", Limit: 1000}
	target := jdf.KindXJDF
	switch second := c.text("to") == "xjdf"; {
	case second && from.Message():
		target = jdf.KindXJMF
	case from.Message():
		target = jdf.KindJMF
	case !second:
		target = jdf.KindJDF
	}
	if text := c.text("version"); text != "" {
		v, err := jdf.ParseVersion(text)
		if err != nil {
			return opt, target, &problem{Status: http.StatusBadRequest, Code: "parameter-wrong",
				Where:  "query version",
				Detail: err.Error(), Do: "give a version such as 1.7 or 2.1, or none for the last"}
		}
		opt.Version = v
	}
	return opt, target, nil
}

// converted packs the documents and the losses. A single document may come alone, with
// the counts of the losses in the header Quoin-Losses.
func converted(result *convert.Result, as string) (*reply, error) {
	told, names := lossesOf(result), namesOf(result.Outputs)
	told.Documents = names
	switch {
	case as == "losses":
		return &reply{value: told}, nil
	case as == "file" && len(result.Outputs) != 1:
		return nil, &problem{Status: http.StatusUnprocessableEntity, Code: "several-documents", Where: "query answer",
			Detail: fmt.Sprintf("the conversion gives %d documents", len(result.Outputs)), Do: "ask for answer=zip"}
	case as == "file":
		var text bytes.Buffer
		if _, err := result.Outputs[0].WriteTo(&text); err != nil {
			return nil, fmt.Errorf("write %q: %w", names[0], err)
		}
		counts := fmt.Sprintf("carried=%d, changed=%d, lost=%d", told.Carried, told.Changed, told.Lost)
		return &reply{media: medias[strings.ToLower(path.Ext(names[0]))], body: text.Bytes(), name: names[0],
			header: http.Header{"Quoin-Losses": {counts}}}, nil
	}
	var text bytes.Buffer
	z := zip.NewWriter(&text)
	for i, o := range result.Outputs {
		w, err := z.Create(names[i])
		if err == nil {
			_, err = o.WriteTo(w)
		}
		if err != nil {
			return nil, fmt.Errorf("pack %q: %w", names[i], err)
		}
	}
	w, err := z.Create(lossesName)
	if err == nil {
		enc := json.NewEncoder(w)
		enc.SetIndent("", "  ")
		err = enc.Encode(told)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("pack the losses: %w", err)
	}
	return &reply{media: "application/zip", body: text.Bytes(), name: "converted.zip"}, nil
}

// namesOf numbers names that two documents have.
func namesOf(outputs []convert.Output) []string {
	taken := map[string]bool{lossesName: true}
	names := []string{}
	for _, o := range outputs {
		ext := path.Ext(o.Name)
		name := o.Name
		for n := 2; taken[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(o.Name, ext), n, ext)
		}
		taken[strings.ToLower(name)] = true
		names = append(names, name)
	}
	return names
}

func lossesOf(result *convert.Result) losses {
	causes, tally := result.Causes()
	l := losses{Carried: tally.Carried, Changed: tally.Changed, Lost: tally.Lost, Causes: []cause{}}
	for _, c := range causes {
		one := cause{ID: c.Rule.ID, Severity: c.Rule.Severity.String(), Reason: c.Reason, Names: c.Names,
			Count: c.Count, First: []place{}}
		for _, p := range c.First {
			start, end := p.Pos(), p.EndPos()
			one.First = append(one.First, place{p.File(), start.Line, start.Column, end.Line, end.Column, p.Path()})
		}
		l.Causes = append(l.Causes, one)
	}
	return l
}
