package validate_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
	"quoin/validate"
)

var ruleElement = &validate.Rule{ID: "process/element", Severity: validate.Warning, Say: "found {name}"}

// eachElement reports every element below the root.
var eachElement = validate.Stage{
	Name: "elements", Rules: []*validate.Rule{ruleElement},
	Check: func(s *validate.Subject, report func(validate.Finding)) error {
		for n := range s.Doc.Root().Children() {
			report(ruleElement.At(n.Place(), validate.F("name", n.Local())))
		}
		return nil
	},
}

const ticket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="j" Types="Product"><B/><A/></XJDF>`

func TestEngineStream(t *testing.T) {
	e := &validate.Engine{Stages: []validate.Stage{eachElement}}
	report, err := e.Stream("t.xjdf", strings.NewReader(ticket))
	require.NoError(t, err)
	require.Equal(t, 1, report.Files)
	require.Len(t, report.Findings, 2)
	require.Equal(t, "found B", report.Findings[0].Message())
	require.Equal(t, 2, report.Count(validate.Warning))
	require.Equal(t, validate.Warning, report.Worst())
	require.Equal(t, "/XJDF/B", report.Findings[0].Place.Path())
}

func TestEngineStopsAfterFaults(t *testing.T) {
	e := &validate.Engine{Stages: []validate.Stage{eachElement}}
	report, err := e.Stream("t.xjdf", strings.NewReader(strings.Replace(ticket, "<A/>", "<A>", 1)))
	require.NoError(t, err)
	require.Len(t, report.Findings, 1)
	require.Equal(t, "xml/mismatched-tag", report.Findings[0].Rule.ID)
}

func TestEngineFilterAndLimits(t *testing.T) {
	for _, c := range []struct {
		filter validate.Filter
		want   int
	}{
		{validate.Filter{}, 2},
		{validate.Filter{Only: []string{"ref"}}, 0},
		{validate.Filter{Only: []string{"ref", "process"}}, 2},
		{validate.Filter{Ignore: []string{"process/*"}}, 0},
		{validate.Filter{Ignore: []string{"process/element"}}, 0},
		{validate.Filter{Ignore: []string{"process/other"}}, 2},
	} {
		e := &validate.Engine{Stages: []validate.Stage{eachElement}, Filter: c.filter}
		report, err := e.Stream("t", strings.NewReader(ticket))
		require.NoError(t, err)
		require.Len(t, report.Findings, c.want, "%+v", c.filter)
	}
	e := &validate.Engine{Limits: jdf.Limits{MaxBytes: 10}}
	report, err := e.Stream("t", strings.NewReader(ticket))
	require.NoError(t, err)
	require.Equal(t, "xml/too-large", report.Findings[0].Rule.ID)
}

func TestEngineCapsFindings(t *testing.T) {
	e := &validate.Engine{Stages: []validate.Stage{eachElement}, Most: 1}
	report, err := e.Stream("t", strings.NewReader(ticket))
	require.NoError(t, err)
	require.Len(t, report.Findings, 1)
	require.Equal(t, 1, report.Left)
	require.Equal(t, 2, report.Count(validate.Warning))
}

// The report of many files is the same however they are shared out, and one
// that can not be read keeps none of the others from being checked.
func TestEngineFiles(t *testing.T) {
	dir := t.TempDir()
	var paths []string
	for i := range 40 {
		path := filepath.Join(dir, fmt.Sprintf("%02d.xjdf", i))
		require.NoError(t, os.WriteFile(path, []byte(ticket), 0o600))
		paths = append(paths, path)
	}
	e := &validate.Engine{Stages: []validate.Stage{eachElement}}
	first, err := e.Files(context.Background(), paths)
	require.NoError(t, err)
	slices.Reverse(paths)
	second, err := e.Files(context.Background(), append(paths, filepath.Join(dir, "absent")))
	require.ErrorIs(t, err, os.ErrNotExist)
	require.Equal(t, 40, second.Files)
	require.Len(t, first.Findings, 80)
	for i := range first.Findings {
		require.Zero(t, first.Findings[i].Compare(second.Findings[i]))
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = e.Files(stopped, paths)
	require.ErrorIs(t, err, context.Canceled)
}

func TestEngineTellsFailedStage(t *testing.T) {
	broken := validate.Stage{Name: "broken", Check: func(*validate.Subject, func(validate.Finding)) error {
		return errors.New("no table")
	}}
	e := &validate.Engine{Stages: []validate.Stage{broken, eachElement}}
	report, err := e.Stream("t", strings.NewReader(ticket))
	require.ErrorContains(t, err, "broken")
	require.Len(t, report.Findings, 2)
}

func TestReportDropsRepetitions(t *testing.T) {
	doc, _, err := jdf.Read("t", strings.NewReader(ticket), jdf.Limits{})
	require.NoError(t, err)
	r := validate.NewReport(0)
	f := ruleElement.At(doc.Root().Place(), validate.F("name", "x"))
	r.Add(f)
	r.Add(f)
	r.Finish()
	require.Len(t, r.Findings, 1)
	require.Equal(t, 1, r.Count(validate.Warning))
	require.Equal(t, validate.Severity(0), validate.NewReport(0).Worst())
}
