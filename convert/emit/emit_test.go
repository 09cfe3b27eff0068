package emit

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/beevik/etree"
	"github.com/stretchr/testify/require"

	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
	"quoin/testdata/standard"
	"quoin/validate"
	"quoin/validate/plant"
)

var noon = Options{
	Clock:        func() time.Time { return time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC) },
	AgentVersion: "1.0",
}

func saltmarsh(t testing.TB) *plant.Plant {
	t.Helper()
	p, findings, err := plant.LoadFile(filepath.Join("..", "..", "testdata", "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	require.Empty(t, findings)
	return p
}

// planned are the plans of the cases: planning takes longer than all that is
// checked of it here.
var planned sync.Map

func emitted(t testing.TB, j *job.Job) (*plan.Plan, []Ticket) {
	t.Helper()
	if pl, ok := planned.Load(j); ok {
		return pl.(*plan.Plan), Tickets(pl.(*plan.Plan), j, noon)
	}
	pl, findings := plan.Make(j, saltmarsh(t), plan.Options{})
	for _, f := range findings {
		require.Equal(t, validate.Warning, f.Severity, f.Message())
	}
	require.NotNil(t, pl)
	planned.Store(j, pl)
	return pl, Tickets(pl, j, noon)
}

// TestValid holds every ticket against the published schema, and reads it back.
// Source: the published XJDF schema, release 2.x, read by libxml2.
func TestValid(t *testing.T) {
	schema := filepath.Join(standard.Dir(t), "xjdf", "xjdf.xsd")
	tool, err := exec.LookPath("xmllint")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "xmllint is not installed; CI needs it")
		t.Skip("xmllint is not installed; install libxml2-utils to hold tickets against the published schema")
	}
	steps := map[plan.Step]int{}
	var files []string
	for i, c := range cases {
		dir := filepath.Join(t.TempDir(), strconv.Itoa(i))
		require.NoError(t, os.Mkdir(dir, 0o755))
		pl, tickets := emitted(t, c.job)
		require.Len(t, tickets, len(pl.Operations), c.name)
		require.NoError(t, Write(dir, tickets))
		for k, o := range pl.Operations {
			steps[o.Step]++
			path := filepath.Join(dir, tickets[k].Name)
			doc, faults, err := jdf.ReadFile(path, jdf.Limits{})
			require.NoError(t, err)
			require.Empty(t, faults, "%s: %s", c.name, tickets[k].Name)
			require.Equal(t, jdf.KindXJDF, doc.Kind)
			require.Empty(t, job.Decode(doc).Faults, "%s: %s", c.name, tickets[k].Name)
			files = append(files, path)
		}
	}
	out, err := exec.Command(tool, append([]string{"--noout", "--schema", schema}, files...)...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.Equal(t, len(files), strings.Count(string(out), " validates"))
	for _, s := range []plan.Step{
		plan.StepPlates, plan.StepStock, plan.StepPrint, plan.StepCut, plan.StepFold, plan.StepStitch, plan.StepBind,
	} {
		require.NotZero(t, steps[s], "no case has the step %s", s)
	}
}

// TestSame writes a plan twice: the same bytes.
func TestSame(t *testing.T) {
	for _, c := range cases {
		_, once := emitted(t, c.job)
		_, again := emitted(t, c.job)
		for i := range once {
			a, err := once[i].Doc.WriteToBytes()
			require.NoError(t, err)
			b, err := again[i].Doc.WriteToBytes()
			require.NoError(t, err)
			require.True(t, bytes.Equal(a, b), "%s: %s", c.name, once[i].Name)
			require.Equal(t, once[i].Name, again[i].Name)
		}
	}
}

// TestChain follows the components: what goes into a ticket came out of one
// before it, in no smaller number.
func TestChain(t *testing.T) {
	for _, c := range cases {
		pl, tickets := emitted(t, c.job)
		made := map[string]int{}
		linked := 0
		for i, k := range tickets {
			for _, r := range k.Doc.FindElements("//ResourceSet[@Usage='Input']/Resource") {
				id := r.SelectAttrValue("ExternalID", "")
				if r.SelectElement("Component") == nil && r.SelectElement("ExposedMedia") == nil {
					continue
				}
				if strings.HasSuffix(id, "-stock") || strings.HasSuffix(id, "-paper") && made[id] == 0 {
					require.Contains(t, []plan.Step{plan.StepStock, plan.StepPrint}, pl.Operations[i].Step)
					continue
				}
				linked++
				require.GreaterOrEqual(t, made[id], amount(t, r), "%s: %s takes %s", c.name, k.Name, id)
			}
			for _, r := range k.Doc.FindElements("//ResourceSet[@Usage='Output']/Resource") {
				made[r.SelectAttrValue("ExternalID", "")] = amount(t, r)
			}
		}
		require.NotZero(t, linked, c.name)
		last := tickets[len(tickets)-1].Doc.FindElement("//ResourceSet[@Usage='Output']/Resource")
		require.GreaterOrEqual(t, amount(t, last), pl.Quantity, c.name)
	}
}

func amount(t *testing.T, r *etree.Element) int {
	t.Helper()
	n, err := strconv.Atoi(r.FindElement("AmountPool/PartAmount").SelectAttrValue("Amount", ""))
	require.NoError(t, err)
	return n
}

// TestBlocks checks that the blocks of every cutting ticket lie on the sheet
// and do not overlap.
func TestBlocks(t *testing.T) {
	checked := 0
	for _, c := range cases {
		_, tickets := emitted(t, c.job)
		for _, k := range tickets {
			blocks := k.Doc.FindElements("//CutBlock")
			if len(blocks) == 0 {
				continue
			}
			checked++
			var boxes []value.Rectangle
			for _, b := range blocks {
				box, err := value.ParseRectangle(b.SelectAttrValue("Box", ""))
				require.NoError(t, err)
				boxes = append(boxes, box)
			}
			in := k.Doc.FindElement("//ResourceSet[@Usage='Input']/Resource/Component").SelectAttrValue("Dimensions", "")
			size, err := value.ParseShape(in)
			require.NoError(t, err)
			for i, a := range boxes {
				require.True(t, a.LLX >= 0 && a.LLY >= 0 && a.URX <= size.X && a.URY <= size.Y, "%s: %v on %v", k.Name, a, size)
				for _, b := range boxes[i+1:] {
					require.True(t, a.URX <= b.LLX || b.URX <= a.LLX || a.URY <= b.LLY || b.URY <= a.LLY, "%v and %v", a, b)
				}
			}
		}
	}
	require.NotZero(t, checked)
}

// TestDecoded reads the tickets back as jobs that say what the plan says.
func TestDecoded(t *testing.T) {
	for _, c := range cases {
		pl, tickets := emitted(t, c.job)
		for i, k := range tickets {
			o := pl.Operations[i]
			checkSets(t, k)
			text, err := k.Doc.WriteToString()
			require.NoError(t, err)
			doc, faults, err := jdf.Read(k.Name, strings.NewReader(text), jdf.Limits{})
			require.NoError(t, err)
			require.Empty(t, faults)
			j := job.Decode(doc)
			require.NotEmpty(t, j.Operations, k.Name)
			op := j.Operations[0]
			if o.Device != "" {
				require.Equal(t, o.Device, op.Devices[0].ID.Value, k.Name)
				require.Equal(t, o.Makeready.Ticket(), op.Schedule.Setup.Value.String(), k.Name)
			}
			switch o.Step {
			case plan.StepPrint:
				varnished := c.name == "coated"
				require.Equal(t, varnished, len(j.Operations) == 2 && j.Operations[1].Varnish != nil, c.name)
				if !o.Print.Digital {
					require.Equal(t, string(o.Print.Style), op.Printing.WorkStyle.Value)
				}
			case plan.StepFold:
				require.Equal(t, o.Fold.Code, op.Folding.Catalog.Value)
			case plan.StepStitch:
				require.Len(t, j.Operations, 3)
			case plan.StepBind:
				require.Len(t, j.Operations, 4)
			}
		}
	}
}

// checkSets: a set is told by its name and usage, so no two may have both alike.
func checkSets(t *testing.T, k Ticket) {
	t.Helper()
	seen := map[string]bool{}
	for _, s := range k.Doc.FindElements("//ResourceSet") {
		key := s.SelectAttrValue("Name", "") + " " + s.SelectAttrValue("Usage", "") + s.SelectAttrValue("ProcessUsage", "")
		require.False(t, seen[key], "%s: %s", k.Name, key)
		seen[key] = true
		require.NotEmpty(t, s.ChildElements(), "%s: %s is empty", k.Name, key)
	}
}

func TestWrite(t *testing.T) {
	_, tickets := emitted(t, product(nil))
	t.Run("replaces", func(t *testing.T) {
		dir := t.TempDir()
		old := filepath.Join(dir, tickets[0].Name)
		require.NoError(t, os.WriteFile(old, []byte("old"), 0o600))
		require.NoError(t, Write(dir, tickets))
		require.Len(t, list(t, dir), 2*len(tickets))
		text, err := os.ReadFile(old)
		require.NoError(t, err)
		require.Contains(t, string(text), "<XJDF")
	})
	t.Run("all or none", func(t *testing.T) {
		dir := t.TempDir()
		old := filepath.Join(dir, tickets[0].Name)
		require.NoError(t, os.WriteFile(old, []byte("old"), 0o600))
		last := tickets[len(tickets)-1].Name
		require.NoError(t, os.Mkdir(filepath.Join(dir, last), 0o755))
		err := Write(dir, tickets)
		require.ErrorContains(t, err, "not a file")
		require.ElementsMatch(t, []string{tickets[0].Name, last}, list(t, dir))
		text, err := os.ReadFile(old)
		require.NoError(t, err)
		require.Equal(t, "old", string(text))
	})
	t.Run("tree", func(t *testing.T) {
		dir := t.TempDir()
		pl, _ := emitted(t, product(nil))
		trees := Tickets(pl, nil, in(JDF))
		require.NoError(t, Write(dir, trees))
		require.Len(t, list(t, dir), 1+len(pl.Operations))
		text, err := os.ReadFile(filepath.Join(dir, "SM-7.jdf"))
		require.NoError(t, err)
		require.Contains(t, string(text), "<JDF ")
		summary, err := os.ReadFile(filepath.Join(dir, trees[0].Reading[0].Name))
		require.NoError(t, err)
		require.Equal(t, trees[0].Reading[0].Text, string(summary))
	})
	t.Run("no folder", func(t *testing.T) {
		require.ErrorContains(t, Write(filepath.Join(t.TempDir(), "gone"), tickets), "write ticket")
	})
	t.Run("twice", func(t *testing.T) {
		dir := t.TempDir()
		require.ErrorContains(t, Write(dir, []Ticket{tickets[0], tickets[0]}), "two files have the name")
		require.Empty(t, list(t, dir))
	})
	t.Run("outside", func(t *testing.T) {
		dir := t.TempDir()
		for _, name := range []string{"../x.xjdf", "a/b.xjdf", "", "/x"} {
			pair := []Ticket{tickets[0], {Name: name, Doc: tickets[0].Doc}}
			require.ErrorContains(t, Write(dir, pair), "leaves the folder", name)
		}
		require.Empty(t, list(t, dir))
	})
}

func list(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	names := []string{}
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}
