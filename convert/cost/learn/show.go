package learn

import (
	"fmt"
	"io"
	"text/tabwriter"
	"time"
)

// Write writes a lesson as text.
func Write(w io.Writer, l *Lesson) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(t, "Learned from %d jobs that were done by %s; %d later jobs are held out.\n",
		l.Jobs, l.Cut.Format(time.DateOnly), l.Held)
	fmt.Fprintf(t, "Confidence %g %%, shared by %d figures: every interval is one of %.2f %%.\n",
		l.Confidence, l.Tests, 100*(1-(1-l.Confidence/100)/float64(max(1, l.Tests))))
	if n := l.Left; n != (Left{}) {
		fmt.Fprintf(t, "Left out: %d tasks of jobs with rework, %d with colour trouble, %d with open phases, "+
			"%d on other devices;\n"+
			"%d figures over %d times off, and the waste of %d runs that stood longer than they ran.\n",
			n.Rework, n.Colour, n.Open, n.Outside, n.Odd, Implausible, n.Stopped)
	}
	fmt.Fprint(t, "\nWhat was, over what was planned:\n\ndevice\tfigure\tjobs\tratio\tinterval\t\n")
	for _, f := range l.Findings {
		name := string(f.Quantity)
		if f.Band != "" {
			name += ", " + f.Band
		}
		between := "-"
		if f.Estimate.High > 0 {
			between = fmt.Sprintf("%.2f - %.2f", f.Estimate.Low, f.Estimate.High)
		}
		fmt.Fprintf(t, "%s\t%s\t%d\t%.2f\t%s\t%s\n", f.Device, name, f.Jobs, f.Estimate.Middle, between, f.Why)
	}
	writeClasses(t, l)
	fmt.Fprint(t, "\nErrors of the plan in the held-out jobs, in percent of what happened. Planned figures are taken times the\n"+
		"factor proposed; jobs are not planned anew. Bias is of the sum, below zero where too little was planned.\n\n"+
		"figure\tdevice\ttasks\tmedian error\t\tbias\t\n\t\t\tbefore\tafter\tbefore\tafter\n")
	for _, e := range l.Errors {
		device := e.Device
		if device == "" {
			device = "all"
		}
		fmt.Fprintf(t, "%s\t%s\t%d\t%.1f\t%.1f\t%+.1f\t%+.1f\n", e.Quantity, device, e.Tasks,
			e.Before.Median, e.After.Median, e.Before.Bias, e.After.Bias)
	}
	if l.Diff == "" {
		fmt.Fprint(t, "\nNothing is proposed: the plant file stands as it is.\n")
	} else {
		fmt.Fprint(t, "\nProposed:\n\n")
	}
	if err := t.Flush(); err != nil {
		return fmt.Errorf("write lesson: %w", err)
	}
	if _, err := io.WriteString(w, l.Diff); err != nil {
		return fmt.Errorf("write lesson: %w", err)
	}
	return nil
}

// writeClasses says where sorts of work differ.
func writeClasses(w io.Writer, l *Lesson) {
	first := true
	for _, f := range l.Findings {
		if f.Class == nil {
			continue
		}
		if first {
			fmt.Fprint(w, "\nSorts of work that differ, and that the plant file can not tell apart:\n\n")
		}
		first = false
		fmt.Fprintf(w, "%s: %s of %s is %.2f times as planned, of the rest %.2f times\n",
			f.Device, f.Quantity, f.Class.Words, f.Class.In.Middle, f.Class.Out.Middle)
	}
}
