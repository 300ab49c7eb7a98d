// Records taken and taken back on the pages of sandwick serve.

package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/site"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
	"sandwick/fields/records"
)

// latelyRows is how many rows of a book are shown under its form.
const latelyRows = 6

// pageDesk opens the farm for recording; warnings go into told.
func (l *local) pageDesk(told *[]string) (*desk, error) {
	d, err := l.p.desk()
	if err != nil {
		return nil, err
	}
	d.warn = func(format string, args ...any) { *told = append(*told, fmt.Sprintf(format, args...)) }
	return d, nil
}

// form shows a form, empty or with what was typed and what is wrong with it.
func (l *local) form(w http.ResponseWriter, r *http.Request, f *recordForm, status int, said url.Values, wrong error) {
	var told []string
	d, err := l.pageDesk(&told)
	if err != nil {
		l.noDesk(w, r, err)
		return
	}
	page := site.Form{Page: l.head(r, "record", "/record/rain"), Lead: f.lead, Action: "/record/" + f.kind, Once: said.Get("once")}
	if page.Once == "" || status == http.StatusOK {
		page.Once = rand.Text()
	}
	for i := range recordForms {
		page.Kinds = append(page.Kinds, site.Kind{Path: "/record/" + recordForms[i].kind, Name: recordForms[i].name})
	}
	page.Fields = f.fields(d)
	refill(page.Fields, said)
	if wrong != nil {
		page.Fault = blame(page.Fields, l.relativeAll(wrong))
	}
	for _, k := range recordKinds {
		if k.kind == f.kind {
			page.Lately = bookRows(d, k.file, page.Token, latelyRows)
		}
	}
	l.write(w, status, "form", &page)
}

// relativeAll names the files of an error's problems from the farm's folder.
func (l *local) relativeAll(err error) error {
	var all faults
	if errors.As(err, &all) {
		out := make(faults, len(all))
		for i := range all {
			out[i] = l.relativeAll(all[i])
		}
		return out
	}
	var problems input.Problems
	if !errors.As(err, &problems) {
		return err
	}
	out := make(input.Problems, len(problems))
	for i := range problems {
		out[i] = l.p.relative(problems[i])
	}
	return out
}

// noDesk tells that nothing can be recorded, for the settings or the map are wrong.
func (l *local) noDesk(w http.ResponseWriter, r *http.Request, err error) {
	s := site.Say{Page: l.head(r, "no records", "/record/rain"), Head: "Nothing can be recorded yet"}
	var problems input.Problems
	if errors.As(l.relativeAll(err), &problems) {
		s.Why = "Settings or map of the farm have to be mended first."
		for i, p := range problems {
			if i == mostProblems {
				s.List = append(s.List, fmt.Sprintf("(and %d more)", len(problems)-i))
				break
			}
			s.List = append(s.List, p.Error())
		}
	} else {
		s.Why = reason(err)
	}
	l.say(w, http.StatusServiceUnavailable, s)
}

// record takes a form. Nothing typed is lost: what cannot be recorded comes back
// filled in as it was.
func (l *local) record(w http.ResponseWriter, r *http.Request, f *recordForm) {
	said := r.PostForm
	once := said.Get("once")
	if once == "" {
		l.guard.Refuse(w, r, http.StatusBadRequest, "the form is damaged")
		return
	}
	end, ok := l.turn(w, r)
	if !ok {
		l.guard.Note(r, slog.LevelWarn, "refused", "status", http.StatusServiceUnavailable, "why", "too many at once")
		l.form(w, r, f, http.StatusServiceUnavailable, said, errQueue)
		return
	}
	defer end()
	if l.past.find(once) != nil {
		l.toDone(w, r, once)
		return
	}
	var told []string
	d, err := l.pageDesk(&told)
	if err != nil {
		l.noDesk(w, r, err)
		return
	}
	done, err := f.understand(r.Context(), d, said)
	if err != nil {
		l.typedWrong(r, f.kind)
		l.form(w, r, f, http.StatusUnprocessableEntity, said, err)
		return
	}
	before := l.former(r.Context())
	// From here on it is written to its end, whether or not somebody still waits.
	got, err := d.Writer.Record(context.WithoutCancel(r.Context()), done.batch, d.now, false)
	if err != nil {
		status := http.StatusUnprocessableEntity
		var problems input.Problems
		if !errors.As(err, &problems) {
			status = http.StatusInternalServerError
			l.guard.Note(r, slog.LevelError, "not recorded", "kind", f.kind)
			err = reasonOfDisk(d.received(got, err))
		} else {
			l.typedWrong(r, f.kind)
		}
		l.form(w, r, f, status, said, err)
		return
	}
	l.guard.Note(r, slog.LevelInfo, "recorded", "kind", f.kind, "rows", len(done.batch.Rows))
	v := &receipt{head: "Recorded", said: done.echo, doubts: append(told, got.Notes...), before: before, again: site.Kind{Path: "/record/" + f.kind, Name: f.name}}
	for _, doubt := range got.Doubts {
		v.doubts = append(v.doubts, l.p.relative(doubt).Error())
	}
	v.rows = justAdded(d, done.batch.File, got.Keys)
	l.past.put(once, v)
	l.toDone(w, r, once)
}

// typedWrong logs that what was typed will not do, without it.
func (l *local) typedWrong(r *http.Request, kind string) {
	l.guard.Note(r, slog.LevelInfo, "refused", "status", http.StatusUnprocessableEntity, "why", "typed wrongly", "kind", kind)
}

// reasonOfDisk is what a person can do about a disk that took nothing. Where the
// farm lies on it is not told.
func reasonOfDisk(err error) error {
	if f, ok := errors.AsType[*failure](err); ok && f.hint != "" {
		return errors.New("nothing was recorded: " + f.hint)
	}
	return errors.New("nothing was recorded: the disk did not take it")
}

// justAdded are the rows of a book that were recorded: the last of those alike.
func justAdded(d *desk, file string, keys []string) []records.Row {
	standing := d.Writer.Standing().Rows(file)
	var rows []records.Row
	for _, key := range keys {
		for i := len(standing) - 1; i >= 0; i-- {
			if standing[i].Text == key && !slices.Contains(rows, standing[i]) {
				rows = append(rows, standing[i])
				break
			}
		}
	}
	return rows
}

func (l *local) toDone(w http.ResponseWriter, r *http.Request, once string) {
	http.Redirect(w, r, "/done?"+url.Values{"form": {once}}.Encode(), http.StatusSeeOther)
}

// planPatience is how long the page after a record waits for the plan that counts
// it in.
const planPatience = 3 * time.Second

// done tells what was recorded or taken back, and what the plan is now.
func (l *local) done(w http.ResponseWriter, r *http.Request) {
	v := l.past.find(r.URL.Query().Get("form"))
	if v == nil { // the program was started anew since
		http.Redirect(w, r, "/", http.StatusSeeOther)
		return
	}
	page := site.Done{Page: l.head(r, strings.ToLower(v.head), "/record/rain"), Head: v.head, Said: v.said, Doubts: v.doubts, Again: v.again}
	if len(v.rows) > 0 {
		page.Back = &site.Back{File: v.rows[0].File, Token: page.Token}
		for _, row := range v.rows {
			page.Back.Rows = append(page.Back.Rows, rowOf(row))
		}
	}
	a, fresh := l.keep.get(r.Context(), planPatience)
	switch {
	case a == nil || !fresh:
		page.Pending = true
	case a.err != nil:
		page.Fault = "There is no plan: " + reason(a.err)
		if len(a.list) > 0 {
			page.Fault = "There is no plan: " + strings.Join(a.list, "; ")
		}
	default:
		page.Changes, page.Cost = changes(v.before, a)
	}
	l.write(w, http.StatusOK, "done", &page)
}

// former is what the plan was, as far as it is known.
func (l *local) former(ctx context.Context) *former {
	a, _ := l.keep.get(ctx, 0)
	if a == nil || a.err != nil {
		return nil
	}
	return &former{a.actions, a.cost}
}

// changes are the lines of the front sheet now, with what they were before where
// that was something else.
func changes(before *former, now *answers) (list []site.Change, cost string) {
	for _, x := range now.actions {
		c := site.Change{Action: x}
		if before != nil {
			for _, y := range before.actions {
				switch {
				case y.Pivot != x.Pivot:
				case y.Verb == x.Verb && y.When == x.When && y.What == x.What:
					c.Same = true
				default:
					c.Before = strings.Join(nonEmpty(y.Verb, y.When, y.What), ", ")
				}
			}
		}
		list = append(list, c)
	}
	text := func(c report.Cost) string { return units.Money(c.Currency, float64(c.Total)) }
	cost = "It costs " + text(now.cost)
	if before != nil && text(before.cost) != text(now.cost) {
		cost += "; before " + text(before.cost)
	}
	return list, cost + "."
}

func nonEmpty(texts ...string) []string {
	list := []string{}
	for _, t := range texts {
		if t != "" {
			list = append(list, t)
		}
	}
	return list
}

// undo takes rows back: the very rows that were on the page.
func (l *local) undo(w http.ResponseWriter, r *http.Request) {
	file, keys, lines := r.PostForm.Get("file"), r.PostForm["row"], r.PostForm["line"]
	kind := ""
	for _, k := range recordKinds {
		if k.file == file {
			kind = k.kind
		}
	}
	if kind == "" || len(keys) == 0 || len(keys) != len(lines) {
		l.guard.Refuse(w, r, http.StatusBadRequest, "the form is damaged")
		return
	}
	end, ok := l.turn(w, r)
	if !ok {
		l.guard.Refuse(w, r, http.StatusServiceUnavailable, "too many are recording at once: send it again")
		return
	}
	defer end()
	var told []string
	d, err := l.pageDesk(&told)
	if err != nil {
		l.noDesk(w, r, err)
		return
	}
	before := l.former(r.Context())
	gone := errors.New("gone")
	rows, got, err := d.Writer.Undo(context.WithoutCancel(r.Context()), d.now, "", func(s *records.Standing) ([]records.Row, error) {
		var rows []records.Row
		for _, row := range s.Rows(file) {
			for i := range keys {
				if row.Text == keys[i] && strconv.Itoa(row.Line) == lines[i] {
					rows = append(rows, row)
				}
			}
		}
		if len(rows) != len(keys) {
			return nil, gone
		}
		return rows, nil
	}, false)
	if errors.Is(err, gone) {
		l.guard.Note(r, slog.LevelInfo, "refused", "status", http.StatusConflict, "why", "taken back before", "kind", kind)
		l.say(w, http.StatusConflict, site.Say{Page: l.head(r, "gone", "/record/rain"), Head: "That row no longer counts",
			Why: "It was taken back already, or the file was changed. Nothing was done."})
		return
	}
	if err != nil {
		l.guard.Note(r, slog.LevelError, "not taken back", "kind", kind)
		l.say(w, http.StatusInternalServerError, site.Say{Page: l.head(r, "not taken back", "/record/rain"), Head: "Nothing was taken back", Why: reasonOfDisk(d.received(got, err)).Error()})
		return
	}
	l.guard.Note(r, slog.LevelInfo, "taken back", "kind", kind)
	v := &receipt{head: "Taken back", before: before, doubts: got.Notes, again: site.Kind{Path: "/record/" + kind}}
	for _, row := range rows {
		v.said = append(v.said, rowOf(row).Text)
	}
	once := rand.Text()
	l.past.put(once, v)
	l.toDone(w, r, once)
}
