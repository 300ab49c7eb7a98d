// What if, on the pages of sandwick serve: the questions of `sandwick plan
// --start, --hold, --rain and --dry`, asked of a form.

package main

import (
	"cmp"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/site"
	"sandwick/fields/whatif"

	"github.com/golang-sql/civil"
)

// What can be asked of a machine.
var whatIfDoes = []site.Option{
	{Value: "", Text: "as planned"}, {Value: "hold", Text: "does not run"}, {Value: "until", Text: "does not run before"}, {Value: "start", Text: "starts"},
}

func (l *local) whatIf(w http.ResponseWriter, r *http.Request) {
	a, _ := l.keep.get(r.Context(), planPatience)
	if a == nil {
		l.say(w, http.StatusServiceUnavailable, site.Say{Head: "The plan is still being made.", Retry: true})
		return
	}
	if a.err != nil {
		l.noAnswer(w, r, a)
		return
	}
	said := r.URL.Query()
	q := l.whatIfForm(r, a, said)
	status := http.StatusOK
	if said.Has("ask") {
		f, faulty := whatIfFlags(a, said, q)
		switch {
		case faulty:
			status = http.StatusUnprocessableEntity
		case !f.asks():
			q.Fault = "Nothing is asked: everything is as planned."
			status = http.StatusUnprocessableEntity
		default:
			select {
			case l.work <- struct{}{}:
				status = l.priced(r, a, f, q)
				<-l.work
			case <-time.After(10 * time.Second):
				q.Fault, status = "Another question is being worked on: ask again.", http.StatusServiceUnavailable
			case <-r.Context().Done():
				return
			}
		}
	}
	if status == http.StatusUnprocessableEntity {
		l.typedWrong(r, "what-if")
	}
	l.write(w, status, "what-if", q)
}

// whatIfForm is the form with what was chosen.
func (l *local) whatIfForm(r *http.Request, a *answers, said url.Values) *site.WhatIf {
	v := &a.v
	q := &site.WhatIf{Page: l.head(r, "what if", "/what-if"), Lead: "What would it cost to do otherwise? What is left open is planned around it, and both are judged alike. Nothing is recorded."}
	for i, name := range v.farm.PivotNames() {
		n := string(rune('a' + i%26))
		if i >= 26 {
			n += string(rune('a' + i/26 - 1))
		}
		p := site.WhatIfPivot{Name: name,
			Do: site.Field{Kind: site.Choice, Name: "do-" + n, Label: "What if it", Options: whatIfDoes},
			At: site.Field{Kind: site.Moment, Name: "at-" + n, Label: "when"}}
		both := []site.Field{p.Do, p.At}
		refill(both, said)
		p.Do, p.At = both[0], both[1]
		q.Pivots = append(q.Pivots, p)
	}
	first := civil.DateOf(v.now)
	rain := []site.Field{
		{Kind: site.Choice, Name: "sky", Label: "What falls", Options: []site.Option{{Value: "", Text: "as expected"}, {Value: "dry", Text: "none at all"}, {Value: "rain", Text: "so much"}}},
		{Kind: site.Number, Name: "rain", Label: "Amount", Units: []string{"in", "mm"}, Unit: "mm"},
		{Kind: site.Choice, Name: "on", Label: "On"},
	}
	if v.farm.US {
		rain[1].Unit = "in"
	}
	for d := range defaultDays {
		day := first.AddDays(d)
		rain[2].Options = append(rain[2].Options, site.Option{Value: day.String(), Text: report.DayText(day)})
	}
	refill(rain, said)
	q.Sky, q.Rain, q.RainOn = rain[0], rain[1], rain[2]
	return q
}

// whatIfFlags turns the form into the flags of the command, with every fault
// beside its field.
func whatIfFlags(a *answers, said url.Values, q *site.WhatIf) (f ownFlags, faulty bool) {
	// One question at a time is tried, to know whose fault an error is.
	try := func(one ownFlags, at *site.Field) {
		if _, err := one.own(a.v, defaultDays); err != nil {
			text := err.Error()
			for _, flag := range []string{"--start: ", "--hold: ", "--rain: "} {
				text = strings.TrimPrefix(text, flag)
			}
			if u, ok := errors.AsType[*usageError](err); ok && pageHint(u.hint) != "" {
				text += "; " + pageHint(u.hint)
			}
			at.Fault, faulty = text, true
			return
		}
		f.starts, f.holds, f.rain = append(f.starts, one.starts...), append(f.holds, one.holds...), append(f.rain, one.rain...)
	}
	for i := range q.Pivots {
		p := &q.Pivots[i]
		switch p.Do.Value {
		case "":
		case "hold":
			try(ownFlags{holds: []string{p.Name}}, &p.Do)
		case "until":
			try(ownFlags{holds: []string{p.Name + "=" + p.At.Value}}, &p.At)
		case "start":
			try(ownFlags{starts: []string{p.Name + "=" + p.At.Value}}, &p.At)
		default:
			p.Do.Fault, faulty = "not one of the choices", true
		}
	}
	switch q.Sky.Value {
	case "":
	case "dry":
		f.dry = true
	case "rain":
		try(ownFlags{rain: []string{q.RainOn.Value + "=" + typed(said, "rain")}}, &q.Rain)
	default:
		q.Sky.Fault, faulty = "not one of the choices", true
	}
	return f, faulty
}

// priced does the reckoning and puts it on the page.
func (l *local) priced(r *http.Request, a *answers, f ownFlags, q *site.WhatIf) (status int) {
	got, compared, err := l.p.ask(r.Context(), a.v, &planFlags{days: defaultDays, own: f}, a.season)
	if err != nil {
		q.Fault = reason(l.relativeAll(err))
		return http.StatusUnprocessableEntity
	}
	s := a.v.units
	q.Asked = report.Texts(compared.Asked, s)
	q.Answer = &site.WhatIfAnswer{Verdict: compared.Verdict(), Expected: cmp.Or(compared.ExpectedText(), compared.WeighedText()), Terms: compared.Terms(s)}
	if compared.Violation != nil {
		q.Answer.Cannot = report.Sentence(compared.Violation.Text(s)) + " The cost is of what its passes would do if they could be run."
	}
	own, err := ownActions(a, got)
	if err != nil {
		q.Fault = reason(err)
		return http.StatusInternalServerError
	}
	for i, x := range a.actions {
		if i < len(own) {
			q.Answer.Passes = append(q.Answer.Passes, site.WhatIfPass{Pivot: x.Pivot, Plan: actionText(&x), Own: actionText(&own[i])})
		}
	}
	return http.StatusOK
}

// ownActions are the lines of the front sheet of one's own way.
func ownActions(a *answers, got *whatif.Answer) ([]page.Action, error) {
	answer := report.NewPlan(a.v.planFacts(a.season, &got.Ahead, &got.Own, false))
	facts, err := a.v.pageFacts(page.RunPlan, a.season, &got.Ahead, &got.Own, answer)
	if err != nil {
		return nil, err
	}
	return page.Actions(facts), nil
}

func actionText(x *page.Action) string {
	return strings.Join(nonEmpty(x.Verb+" "+x.When, x.What), ", ")
}
