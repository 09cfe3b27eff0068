//go:build !checker

package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"quoin/convert"
	"quoin/jdf"
)

// conversion is the flags of the command.
type conversion struct {
	to, version, split, out, report string

	keep bool
}

func newConvert(io streams) *cobra.Command {
	var c conversion
	flags := checking{formats: plain, failOn: "error"}
	cmd := &cobra.Command{
		Use:   "convert FILE... --to xjdf|jdf [--out FOLDER]",
		Short: "Write tickets and messages in the other generation, and say what changed and what was lost",
		Long: "Convert turns JDF into XJDF, JMF into XJMF, and back, or into another version of the same generation.\n" +
			"Several XJDF of one job become one JDF. Of a folder, what is of the other generation is converted; what is\n" +
			"of the generation asked for is passed by, unless --version names another version. Without --out the result\n" +
			"goes to standard output, when it is one document. Everything that could not be carried over as it was is\n" +
			"listed, folded by its cause; --report writes each place.",
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
	f.BoolVar(&c.keep, "keep", false, "keep what has no counterpart as private data, for the way back")
	f.StringVar(&c.out, "out", "", "folder to write to")
	f.StringVar(&c.report, "report", "", "file to write every change and loss to: text when it ends in .txt, else JSON")
	f.StringVar(&flags.format, "format", "text", "how the folded list is written to the terminal: text, json")
	return cmd
}

func (c *conversion) run(args []string, flags *checking, io streams) error {
	if c.to != "xjdf" && c.to != "jdf" {
		return fmt.Errorf("--to is %q; want xjdf or jdf", c.to)
	}
	files, err := expand(args, ticketNames[:4])
	if err != nil {
		return err
	}
	// Nearly all that a conversion allocates lives until its end: to collect more
	// often costs a little time and saves a fifth of the memory.
	defer debug.SetGCPercent(debug.SetGCPercent(50))
	batch := &conversionBatch{conversion: c, io: io, alone: len(files) == 1}
	for _, path := range files {
		if err := batch.read(path); err != nil {
			return err
		}
	}
	results, err := batch.convert()
	if err != nil {
		return err
	}
	return batch.write(results, flags)
}

// conversionBatch is the files of one call, which may be of both generations.
type conversionBatch struct {
	*conversion
	io      streams
	alone   bool // there is one file, and what is wrong with it ends the command
	docs    map[jdf.Kind][]*jdf.Document
	already []string // files that are of the generation asked for
	refused int      // files that can not be converted
	outputs []convert.Output
}

// read sorts a file by what it is. What is of the generation that is asked for
// is passed by, unless a version is asked for too.
func (b *conversionBatch) read(path string) error {
	doc, err := readTicket(path, b.io)
	switch {
	case err != nil && b.alone:
		return err
	case err != nil:
		b.refuse(path, err)
		return nil
	case doc.Kind == jdf.KindUnknown && !b.alone:
		b.refuse(path, errors.New("it is no ticket and no message"))
		return nil
	case doc.Kind.First() == (b.to == "jdf") && doc.Kind != jdf.KindUnknown && b.version == "":
		b.already = append(b.already, path)
		return nil
	}
	if b.docs == nil {
		b.docs = map[jdf.Kind][]*jdf.Document{}
	}
	b.docs[doc.Kind] = append(b.docs[doc.Kind], doc)
	return nil
}

func (b *conversionBatch) refuse(path string, err error) {
	b.refused++
	fmt.Fprintf(b.io.err, "%s is passed by: %v\n", path, err)
}

// convert converts the documents of each kind together.
func (b *conversionBatch) convert() ([]*convert.Result, error) {
	for _, path := range b.already {
		fmt.Fprintf(b.io.err, "%s is %s already, and is passed by\n", path, strings.ToUpper(b.to))
	}
	var results []*convert.Result
	for _, kind := range []jdf.Kind{jdf.KindJDF, jdf.KindXJDF, jdf.KindJMF, jdf.KindXJMF, jdf.KindUnknown} {
		docs := b.docs[kind]
		if len(docs) == 0 {
			continue
		}
		opt, target, err := b.options(kind)
		if err != nil {
			return nil, err
		}
		result, err := convert.To(docs, target, opt)
		if err != nil {
			return nil, err
		}
		results = append(results, result)
		b.outputs = append(b.outputs, result.Outputs...)
	}
	return results, nil
}

// options turns the flags into those of the conversion. Messages stay messages.
func (c *conversion) options(from jdf.Kind) (convert.Options, jdf.Kind, error) {
	opt := convert.Options{Split: convert.Split(c.split), Keep: c.keep}
	target := map[string]map[bool]jdf.Kind{
		"xjdf": {false: jdf.KindXJDF, true: jdf.KindXJMF}, "jdf": {false: jdf.KindJDF, true: jdf.KindJMF},
	}[c.to][from.Message()]
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
func (b *conversionBatch) write(results []*convert.Result, flags *checking) error {
	switch {
	case b.out != "":
		if err := writeOutputs(b.out, b.outputs); err != nil {
			return err
		}
	case len(b.outputs) == 1:
		if _, err := b.outputs[0].WriteTo(b.io.out); err != nil {
			return fmt.Errorf("write ticket: %w", err)
		}
	case len(b.outputs) == 0 && len(b.already) > 0:
		return fmt.Errorf("there is nothing to convert to %s; name a --version to write another one", strings.ToUpper(b.to))
	default:
		return fmt.Errorf("the conversion gives %d documents; name a folder for them with --out", len(b.outputs))
	}
	list := &lossList{results: results, files: len(b.already) + b.refused}
	for _, docs := range b.docs {
		list.files += len(docs)
	}
	if b.report != "" {
		form := list.json
		if strings.HasSuffix(b.report, ".txt") {
			form = list.lines
		}
		if err := streamFile(filepath.Clean(b.report), form); err != nil {
			return err
		}
	}
	form := list.text
	if flags.format == "json" {
		form = list.causesJSON
	}
	if err := form(b.io.err); err != nil {
		return fmt.Errorf("write list of losses: %w", err)
	}
	if b.refused > 0 {
		return statusError(statusFindings)
	}
	return nil
}
