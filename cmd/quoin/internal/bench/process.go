package main

import (
	"bytes"
	"errors"
	"fmt"
	"os/exec"
	"time"
)

// cost is what running a program took.
type cost struct {
	wall   time.Duration
	cpu    time.Duration // on all cores
	peak   int64         // of memory, in bytes; 0 where the system does not tell
	status int
	said   string // on standard output
}

// command is a program with its arguments, and the exit status it must have.
type command struct {
	args []string
	want int
}

// run runs a command. The peak is at least that of this program, whose memory
// the new process has until its own program is loaded; so this one stays small.
func (c command) run() (cost, error) {
	cmd := exec.Command(c.args[0], c.args[1:]...)
	var said, trouble bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &tail{to: &trouble}
	start := time.Now()
	err := cmd.Run()
	wall := time.Since(start)
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return cost{}, fmt.Errorf("run %s: %w", c.args[0], err)
	}
	state := cmd.ProcessState
	if state.ExitCode() != c.want {
		return cost{}, fmt.Errorf("%.200v ended with %d, want %d: %.400s%.400s",
			c.args, state.ExitCode(), c.want, said.String(), trouble.String())
	}
	return cost{
		wall: wall, cpu: state.UserTime() + state.SystemTime(), peak: peak(state),
		status: state.ExitCode(), said: said.String(),
	}, nil
}

// tail keeps the first kilobytes of what a program complains of.
type tail struct{ to *bytes.Buffer }

func (t *tail) Write(p []byte) (int, error) {
	if t.to.Len() < 1<<12 {
		t.to.Write(p[:min(len(p), 1<<12)])
	}
	return len(p), nil
}

// best runs commands turn by turn, and keeps the shortest time and the lowest
// peak of each.
func best(rounds int, commands ...command) ([]cost, error) {
	least := make([]cost, len(commands))
	for round := range rounds {
		for i, c := range commands {
			took, err := c.run()
			if err != nil {
				return nil, err
			}
			if round == 0 {
				least[i] = took
				continue
			}
			least[i].wall = min(least[i].wall, took.wall)
			least[i].cpu = min(least[i].cpu, took.cpu)
			least[i].peak = min(least[i].peak, took.peak)
		}
	}
	return least, nil
}
