package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/plant"
	"quoin/validate/render"
)

// checking is the flags of all commands that check tickets.
type checking struct {
	formats []string // allowed
	format  string
	only    []string
	ignore  []string
	failOn  string
	most    int
	limits  jdf.Limits
}

// plain are the forms in which every result can be written.
var plain = []string{"text", "json"}

func (c *checking) flags(cmd *cobra.Command, formats []string) {
	c.formats = formats
	f := cmd.Flags()
	f.StringVar(&c.format, "format", "text", "how the result is written: "+strings.Join(formats, ", "))
	f.StringSliceVar(&c.only, "only", nil, "check these groups alone: "+strings.Join(validate.Groups(), ", "))
	f.StringSliceVar(&c.ignore, "ignore", nil, "leave out a rule by its id, or a group as in 'plant/*'")
	f.StringVar(&c.failOn, "fail-on", "error", "exit with 1 from this severity on: note, warning or error")
	f.IntVar(&c.most, "max-findings", 1000, "most findings kept a file; 0 keeps all")
	f.Int64Var(&c.limits.MaxBytes, "max-bytes", 256<<20, "largest file taken, in bytes")
	f.IntVar(&c.limits.MaxDepth, "max-depth", 256, "deepest nesting of elements taken")
}

// check looks at the flags before any work is done.
func (c *checking) check() error {
	if !slices.Contains(c.formats, c.format) {
		return fmt.Errorf("--format is %q; want one of %s", c.format, strings.Join(c.formats, ", "))
	}
	if _, err := validate.ParseSeverity(c.failOn); err != nil {
		return fmt.Errorf("--fail-on: %w", err)
	}
	if c.most < 0 || c.limits.MaxBytes < 0 || c.limits.MaxDepth < 0 {
		return errors.New("--max-findings, --max-bytes and --max-depth want numbers of 0 or more; 0 is the default or no limit")
	}
	for _, group := range c.only {
		if !slices.Contains(validate.Groups(), group) {
			return fmt.Errorf("--only: %q is no group; want one of %s", group, strings.Join(validate.Groups(), ", "))
		}
	}
	for _, id := range c.ignore {
		group, _, found := strings.Cut(id, "/")
		if !found || !slices.Contains(validate.Groups(), group) {
			return fmt.Errorf("--ignore: %q is neither a rule id such as ref/duplicate-id nor a group such as plant/*", id)
		}
	}
	return nil
}

// write renders a report in the chosen form and turns it into a status. The
// files are those that were asked for, with or without findings.
func (c *checking) write(out io.Writer, report *validate.Report, files ...string) error {
	limit, err := validate.ParseSeverity(c.failOn)
	if err != nil {
		return err
	}
	switch c.format {
	case "json":
		err = render.JSON(out, report)
	case "sarif":
		err = render.SARIF(out, report, allRules())
	case "junit":
		err = render.JUnit(out, report, files, limit)
	case "html":
		err = writeHTML(out, report)
	default:
		err = render.Text(out, report, render.Style{Color: terminal(out), Width: width(out)})
	}
	if err != nil {
		return err
	}
	if report.Worst() >= limit {
		return statusError(statusFindings)
	}
	return nil
}

// ticketNames are the file names that a folder is searched for: tickets,
// messages and packages of both generations.
var ticketNames = []string{"*.jdf", "*.jmf", "*.xjdf", "*.xjmf", "*.mjm", "*.mjd", "*.zip"}

// expand turns folders into the files below them that one of the patterns
// fits, in the order of their names. Files that are named are taken as they are.
// The error tells of names that lead nowhere; the files are those that do.
func expand(paths, patterns []string) ([]string, error) {
	for _, pattern := range patterns {
		if _, err := filepath.Match(pattern, ""); err != nil {
			return nil, fmt.Errorf("the pattern %q is not complete; want one such as *.jdf", pattern)
		}
	}
	var files []string
	var failed error
	for _, path := range paths {
		if path == "-" {
			files = append(files, path)
			continue
		}
		err := filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if !d.IsDir() && (p == path || fits(d.Name(), patterns)) {
				files = append(files, p)
			}
			return nil
		})
		if err != nil {
			failed = errors.Join(failed, cannotRead(path, err))
		}
	}
	if len(files) == 0 && failed == nil {
		failed = fmt.Errorf("no tickets in %s; want files such as %s",
			strings.Join(paths, ", "), strings.Join(patterns, ", "))
	}
	return files, failed
}

// cannotRead says why a name leads to no ticket.
func cannotRead(path string, err error) error {
	var inside *fs.PathError
	if errors.As(err, &inside) {
		err = inside.Err
	}
	return fmt.Errorf("read %q: %w; check the name and who may read it", path, err)
}

func fits(name string, patterns []string) bool {
	return slices.ContainsFunc(patterns, func(pattern string) bool {
		ok, err := filepath.Match(strings.ToLower(pattern), strings.ToLower(name))
		return ok && err == nil
	})
}

// loadPlant reads a plant file. Its findings are written when there are errors
// among them, for then nothing can be asked of it.
func loadPlant(path, format string, out io.Writer) (*plant.Plant, error) {
	works, findings, err := plant.LoadFile(path)
	if err != nil {
		return nil, err
	}
	report := validate.NewReport(0)
	report.Files = 1
	for _, f := range findings {
		report.Add(f)
	}
	report.Finish()
	if report.Worst() < validate.Error {
		return works, nil
	}
	if !slices.Contains(plain, format) {
		format = "text"
	}
	c := checking{format: format, failOn: "error"}
	if err := c.write(out, report); err != statusError(statusFindings) {
		return nil, err
	}
	return nil, fmt.Errorf("the plant file %q can not be used before its errors are mended", path)
}
