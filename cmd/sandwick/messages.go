// All the program says to a person outside the answer itself.
//
// The rules: everything here goes to standard error; a line begins with
// "sandwick: error: ", "sandwick: warning: " or "sandwick: hint: "; no capital
// after it and no full stop at the end; an error says what is wrong, where, and
// what would be accepted; a hint says what to do next.
package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"sandwick/et/input"
)

// usageError is a fault of the command line or of an input file: exit status 2.
type usageError struct {
	err   error
	hint  string // may be empty
	about string // the argument or flag that is wrong, by its name; may be empty
}

func (e *usageError) Error() string { return e.err.Error() }
func (e *usageError) Unwrap() error { return e.err }

// usage marks err as the caller's fault and adds a hint.
func usage(err error, hint string) error { return &usageError{err: err, hint: hint} }

// about names the argument or flag that a usage error is about, so that a form
// can show the error beside the field it stands for.
func about(what string, err error) error {
	if u, ok := errors.AsType[*usageError](err); ok && u.about == "" {
		u.about = what
	}
	return err
}

// failure is work that could not be done through no fault of the input:
// exit status 1, with a hint.
type failure struct {
	err  error
	hint string
}

func (e *failure) Error() string { return e.err.Error() }
func (e *failure) Unwrap() error { return e.err }

// errNo is returned by a command whose answer is "no" and has been given.
var errNo = errors.New("the answer is no")

// report prints err and gives the exit status that goes with it.
func (p *program) report(err error) int {
	if err == nil {
		return exitDone
	}
	if errors.Is(err, errNo) {
		return exitNo
	}
	if errors.Is(err, context.Canceled) {
		p.errorf("stopped before the work was done")
		return exitNo
	}
	var all faults
	if errors.As(err, &all) {
		for _, one := range all {
			p.report(one)
		}
		return exitUsage
	}
	var problems input.Problems
	if errors.As(err, &problems) {
		p.problems("error", problems)
	} else {
		p.errorf("%v", err)
	}
	var u *usageError
	if errors.As(err, &u) {
		p.hint(u.hint)
		return exitUsage
	}
	var f *failure
	if errors.As(err, &f) {
		p.hint(f.hint)
	}
	return exitNo
}

func (p *program) errorf(format string, args ...any) {
	fmt.Fprintf(p.stderr, "sandwick: error: "+format+"\n", args...)
}

func (p *program) warnf(format string, args ...any) {
	fmt.Fprintf(p.stderr, "sandwick: warning: "+format+"\n", args...)
}

func (p *program) hint(text string) {
	if text != "" {
		fmt.Fprintf(p.stderr, "sandwick: hint: %s\n", text)
	}
}

// mostProblems is how many problems are printed one by one: a file in the wrong
// format has one in every row, and the first screen says it all.
const mostProblems = 20

// problems prints a list of problems, one a line, capped.
func (p *program) problems(kind string, problems input.Problems) {
	for i, problem := range problems {
		if i == mostProblems {
			fmt.Fprintf(p.stderr, "sandwick: %s: (and %d more)\n", kind, len(problems)-i)
			return
		}
		fmt.Fprintf(p.stderr, "sandwick: %s: %v\n", kind, problem.Error())
	}
}

// quoteList is `"a", "b"`.
func quoteList(names []string) string {
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = strconv.Quote(n)
	}
	return strings.Join(quoted, ", ")
}
