package render

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"quoin/validate"
)

// JUnit writes the report as a JUnit test report: a suite for each file, in
// the order of files, and a case for each finding. A finding fails from the
// severity failOn on; a lighter one passes, with its text as output; a
// silenced one is skipped. A file without findings has one case that passes.
// Findings elsewhere than in files get suites of their own behind them, and
// failing findings that are not shown one case that fails, so that the verdict
// is that of the exit status.
//
// Common practice, no source: the format has no standard; the names are those
// that build servers read.
func JUnit(w io.Writer, r *validate.Report, files []string, failOn validate.Severity) error {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	root := doc.CreateElement("testsuites")
	root.CreateAttr("name", "quoin")
	suites := &junitSuites{root: root, byFile: map[string]*junitSuite{}}
	for _, file := range files {
		suites.of(file)
	}
	for _, f := range r.Findings {
		suites.of(f.Place.File()).add(f, failOn)
	}
	if n := unseen(r, failOn); n > 0 {
		s := suites.of("")
		text := plural(n, "finding") + " counted but not shown"
		s.fail(s.testCase("not shown"), "", text, text)
	}
	suites.close()
	doc.Indent(2)
	if _, err := doc.WriteTo(w); err != nil {
		return fmt.Errorf("write report: %w", err)
	}
	return nil
}

// unseen is how many findings of a severity or over it are counted, but not
// kept.
func unseen(r *validate.Report, from validate.Severity) int {
	n := 0
	for s := from; s <= validate.Error; s++ {
		n += r.Count(s)
	}
	for _, f := range r.Findings {
		if f.Severity >= from && f.Silenced == nil {
			n--
		}
	}
	return n
}

type junitSuites struct {
	root   *etree.Element
	byFile map[string]*junitSuite
	order  []*junitSuite
}

type junitSuite struct {
	element                  *etree.Element
	file                     string
	tests, failures, skipped int
}

func (s *junitSuites) of(file string) *junitSuite {
	if suite, ok := s.byFile[file]; ok {
		return suite
	}
	suite := &junitSuite{element: s.root.CreateElement("testsuite"), file: file}
	s.byFile[file] = suite
	s.order = append(s.order, suite)
	return suite
}

// close writes the totals, which stand in front of the cases.
func (s *junitSuites) close() {
	var whole junitSuite
	for _, suite := range s.order {
		if suite.tests == 0 {
			suite.testCase("no findings")
		}
		suite.element.CreateAttr("name", suite.name())
		suite.totals(suite.element)
		whole.tests += suite.tests
		whole.failures += suite.failures
		whole.skipped += suite.skipped
	}
	whole.totals(s.root)
}

func (s *junitSuite) totals(e *etree.Element) {
	e.CreateAttr("tests", strconv.Itoa(s.tests))
	e.CreateAttr("failures", strconv.Itoa(s.failures))
	e.CreateAttr("errors", "0")
	e.CreateAttr("skipped", strconv.Itoa(s.skipped))
}

func (s *junitSuite) name() string {
	if s.file == "" {
		return "quoin"
	}
	return safe(s.file)
}

func (s *junitSuite) testCase(name string) *etree.Element {
	s.tests++
	c := s.element.CreateElement("testcase")
	c.CreateAttr("name", name)
	c.CreateAttr("classname", s.name())
	return c
}

func (s *junitSuite) add(f validate.Finding, failOn validate.Severity) {
	name := f.Rule.ID
	if f.Place.Known() {
		at := f.Place.Pos()
		name = fmt.Sprintf("%d:%d %s", at.Line, at.Column, name)
	}
	c := s.testCase(name)
	if f.Place.Known() {
		c.CreateAttr("file", s.name())
		c.CreateAttr("line", strconv.Itoa(f.Place.Pos().Line))
	}
	switch {
	case f.Silenced != nil:
		s.skipped++
		c.CreateElement("skipped").CreateAttr("message", "silenced: "+safe(f.Silenced.Reason))
	case f.Severity >= failOn:
		s.fail(c, f.Rule.ID, f.Message(), plainText(f))
	default:
		c.CreateElement("system-out").SetText(plainText(f))
	}
}

func (s *junitSuite) fail(c *etree.Element, kind, message, text string) {
	s.failures++
	e := c.CreateElement("failure")
	e.CreateAttr("message", brief(message))
	e.CreateAttr("type", kind)
	e.SetText(text)
}

// plainText is the finding as Text writes it, without colour.
func plainText(f validate.Finding) string {
	var out strings.Builder
	buffer := bufio.NewWriter(&out)
	finding(buffer, f, Style{Width: defaultWidth})
	buffer.Flush()
	return strings.TrimRight(out.String(), "\n")
}
