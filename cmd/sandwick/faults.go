// Several things wrong at once with one command line or form: all are told.

package main

import (
	"context"
	"errors"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"sandwick/et/input"
	"sandwick/fields/records"

	"github.com/golang-sql/civil"
)

// faults are all that is wrong with what was typed, each a usage error.
type faults []error

func (f faults) Error() string {
	list := make([]string, len(f))
	for i, err := range f {
		list[i] = err.Error()
	}
	return strings.Join(list, "; ")
}

func (f faults) Unwrap() []error { return f }

// add takes a fault along; ok tells that there is none.
func (f *faults) add(err error) (ok bool) {
	var more faults
	switch {
	case err == nil:
		return true
	case errors.As(err, &more):
		*f = append(*f, more...)
	default:
		*f = append(*f, err)
	}
	return false
}

// err is nil without a fault, a single one as it is.
func (f faults) err() error {
	switch len(f) {
	case 0:
		return nil
	case 1:
		return f[0]
	}
	return f
}

// about tells whether a fault is about one of these arguments or columns.
func (f faults) about(names ...string) bool {
	return slices.ContainsFunc(f, func(err error) bool {
		if u, ok := errors.AsType[*usageError](err); ok && slices.Contains(names, u.about) {
			return true
		}
		problems, _ := errors.AsType[input.Problems](err)
		return slices.ContainsFunc(problems, func(p input.Problem) bool {
			key, _ := columnUnit(p.Field)
			return slices.Contains(names, key)
		})
	})
}

// alone adds what the reader of a file has against rows that hold a part of what was
// understood each, and for the rest what it takes: it stops at the first fault of a
// row. It judges them as the only rows of the file; what others make of them is told
// when the whole is recorded.
func (d *desk) alone(wrong *faults, file string, parts ...records.Entry) {
	w := *d.Writer
	w.Dir = filepath.Join(d.Writer.Dir, records.Dir, "empty") // there is no such folder
	for _, row := range parts {
		if _, ok := row["date"]; !ok && file != records.PassesFile {
			row = maps.Clone(row)
			row["date"] = records.Word(civil.DateOf(d.now).String())
		}
		_, err := w.Record(context.Background(), records.Batch{File: file, Rows: []records.Entry{row}}, d.now, true)
		var problems, more input.Problems
		errors.As(err, &problems)
		for _, p := range problems {
			key, _ := columnUnit(p.Field)
			_, given := row[key] // else it is a cell left out
			if given && p.File == "" && !wrong.about(append([]string{key}, columnFields[key]...)...) {
				more = append(more, p)
			}
		}
		if len(more) > 0 {
			wrong.add(usage(more, "nothing was recorded"))
		}
	}
}

// part is some cells of a row.
func part(row records.Entry, keys ...string) records.Entry {
	out := records.Entry{}
	for _, k := range keys {
		if v, ok := row[k]; ok {
			out[k] = v
		}
	}
	return out
}
