package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/beevik/etree"
	"github.com/spf13/cobra"

	"quoin/convert"
	"quoin/convert/emit"
	"quoin/jdf"
	"quoin/validate"
)

// conversion is the flags of the command.
type conversion struct {
	to, version, split, out, report string
}

func newConvert(io streams) *cobra.Command {
	var c conversion
	flags := checking{formats: plain, failOn: "error"}
	cmd := &cobra.Command{
		Use:   "convert FILE... --to xjdf|jdf [--out FOLDER]",
		Short: "Write tickets and messages in the other generation, and say what changed and what was lost",
		Long: "Convert turns JDF into XJDF, JMF into XJMF, and back, or into another version of the same generation.\n" +
			"Several XJDF of one job become one JDF. Without --out the result goes to standard output, when it is one\n" +
			"document. Everything that could not be carried over as it was is listed.",
		Example: "  quoin convert order.jdf --to xjdf --out converted/\n" +
			"  quoin convert message.xjmf --to jdf --report losses.json > message.jmf\n" +
			"  quoin convert order.jdf --to jdf --version 1.3 > old.jdf",
		Args: atLeastOne("ticket or message"),
		RunE: func(_ *cobra.Command, args []string) error {
			if err := flags.check(); err != nil {
				return err
			}
			return c.run(args, &flags, io)
		},
	}
	f := cmd.Flags()
	f.StringVar(&c.to, "to", "", "the generation to write: xjdf (and XJMF) or jdf (and JMF)")
	f.StringVar(&c.version, "version", "", "the version to write; the last of the generation when left out")
	f.StringVar(&c.split, "split", string(convert.Process), "what of a JDF becomes one XJDF: process, graybox or product")
	f.StringVar(&c.out, "out", "", "folder to write to")
	f.StringVar(&c.report, "report", "", "file to write the list of changes and losses to, as JSON")
	f.StringVar(&flags.format, "format", "text", "how the list is written to the terminal: text, json")
	return cmd
}

func (c *conversion) run(args []string, flags *checking, io streams) error {
	files, err := expand(args, ticketNames[:4])
	if err != nil {
		return err
	}
	var docs []*jdf.Document
	for _, path := range files {
		doc, err := readTicket(path, io)
		if err != nil {
			return err
		}
		docs = append(docs, doc)
	}
	opt, target, err := c.options(docs[0])
	if err != nil {
		return err
	}
	result, err := convert.To(docs, target, opt)
	if err != nil {
		return err
	}
	report := validate.NewReport(0)
	report.Files = len(docs)
	for _, f := range result.Findings() {
		report.Add(f)
	}
	report.Finish()
	return c.write(result, report, flags, io)
}

// options turns the flags into those of the conversion. Messages stay messages.
func (c *conversion) options(first *jdf.Document) (convert.Options, jdf.Kind, error) {
	opt := convert.Options{Split: convert.Split(c.split)}
	var target jdf.Kind
	switch {
	case c.to == "xjdf" && first.Kind.Message():
		target = jdf.KindXJMF
	case c.to == "xjdf":
		target = jdf.KindXJDF
	case c.to == "jdf" && first.Kind.Message():
		target = jdf.KindJMF
	case c.to == "jdf":
		target = jdf.KindJDF
	default:
		return opt, target, fmt.Errorf("--to is %q; want xjdf or jdf", c.to)
	}
	if c.version != "" {
		v, err := jdf.ParseVersion(c.version)
		if err != nil {
			return opt, target, fmt.Errorf("--version: %w", err)
		}
		opt.Version = v
	}
	return opt, target, nil
}

// write puts the documents where they go, and the list to the error stream or
// a file, so that a converted ticket can be piped on.
func (c *conversion) write(result *convert.Result, report *validate.Report, flags *checking, io streams) error {
	switch {
	case c.out != "":
		var tickets []emit.Ticket
		for _, o := range result.Outputs {
			tickets = append(tickets, emit.Ticket{Name: o.Name, Doc: o.Doc})
		}
		if err := writeTickets(c.out, tickets); err != nil {
			return err
		}
	case len(result.Outputs) == 1:
		if err := writeXML(io, result.Outputs[0].Doc); err != nil {
			return err
		}
	default:
		return fmt.Errorf("the conversion gives %d documents; name a folder for them with --out", len(result.Outputs))
	}
	if c.report != "" {
		var list strings.Builder
		json := checking{format: "json", failOn: "error"}
		if err := json.write(&list, report); err != nil {
			return err
		}
		if err := replaceFile(filepath.Clean(c.report), []byte(list.String())); err != nil {
			return err
		}
	}
	return flags.write(io.err, report)
}

func writeXML(io streams, doc *etree.Document) error {
	if _, err := doc.WriteTo(io.out); err != nil {
		return fmt.Errorf("write ticket: %w", err)
	}
	return nil
}
