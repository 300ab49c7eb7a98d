// Package spells draws from a daily rain record how long dry spells last: the
// chance that no useful rain falls for so many more days, given how long it has
// been dry and the time of year, and the longest spell to expect.
//
// What counts as useful rain is the caller's rule. Published definitions that
// the defaults and options rest on:
//
//	daily rain below 1 mm makes a dry day      ETCCDI index CDD; DefaultMinMM
//	daily rain below reference ET makes one    Rivoire et al. 2019, NHESS 19:1629; Rule.EToShare
//	rain too little to measure makes one       absolute drought, AMS Glossary: 15 such days; MinMM 0.2
//
// Rivoire et al. found that the fixed limit strongly underestimates the dry
// spells of summer: a shower of 2 mm is gone by the evening.
//
// Methods, each where its function is: conditional frequencies counted in a
// window of the year, with the score interval of Wilson (1927); where cases are
// few, a two-state Markov chain of first order; longest spells by the plotting
// position of Weibull and, beyond the record, a Gumbel fit by moments.
//
// A day whose rain is not known never counts as dry or wet, and no spell is
// counted whose length depends on it. Everything is by calendar day; nothing
// here reads a file or a clock. Rain and ET are in mm.
package spells

// This file has the rule and the record: every day dry, wet or unknown, and how
// long it has been dry.

import (
	"fmt"
	"math"
	"time"

	"github.com/golang-sql/civil"
)

// DefaultMinMM is the least daily rain that ends a dry spell, mm: ETCCDI counts
// days below it as dry (index CDD), and WMO-No. 1203 counts days from it on as
// wet (the latter from memory).
const DefaultMinMM = 1.0

// Rule says when a day's rain is useful. The zero Rule counts every day as
// wet; use DefaultRule.
type Rule struct {
	MinMM    float64 // least daily rain, mm, over 0
	EToShare float64 // rain must also reach this share of the day's reference ET; 0: no such limit, 1: Rivoire et al. 2019
}

// DefaultRule is 1 mm a day whatever the ET.
func DefaultRule() Rule { return Rule{MinMM: DefaultMinMM} }

// Kind is what a day was.
type Kind uint8

// The kinds of day. The zero Kind is Unknown.
const (
	Unknown Kind = iota // rain not measured
	Dry                 // no useful rain
	Wet                 // useful rain
)

// Kind tells what a day was from its rain and reference ET, mm. NaN or
// negative rain is Unknown; so is rain that reaches MinMM when EToShare decides
// and ETo is not known.
func (r Rule) Kind(rainMM, etoMM float64) Kind {
	switch {
	case !(rainMM >= 0):
		return Unknown
	case rainMM < r.MinMM:
		return Dry
	case r.EToShare <= 0:
		return Wet
	case math.IsNaN(etoMM):
		return Unknown
	case rainMM < r.EToShare*etoMM:
		return Dry
	}
	return Wet
}

// History is a record of days, made ready for counting. The zero History is
// empty; queries of it find nothing.
type History struct {
	first civil.Date
	day0  int // first as days since 1970
	kind  []Kind
	run   []int32 // dry days in a row up to and with this day; 0 after rain, -1 when the spell's beginning is not known
	dry   []int32 // dry days in a row from the day after this one on, as far as they are known
	known []int32 // days in a row from the day after this one on that are known
}

// New makes a History of the days from first on. etoMM may be nil when the rule
// does not look at ETo; otherwise it is as long as rainMM. The error is for a
// rule or lengths that make no sense.
func New(first civil.Date, rainMM, etoMM []float64, rule Rule) (*History, error) {
	switch {
	case !first.IsValid() && len(rainMM) > 0:
		return nil, fmt.Errorf("spells: %v is not a date", first)
	case !(rule.MinMM > 0) || math.IsInf(rule.MinMM, 1):
		return nil, fmt.Errorf("spells: useful rain must be above 0 mm (got %g)", rule.MinMM)
	case !(rule.EToShare >= 0) || math.IsInf(rule.EToShare, 1):
		return nil, fmt.Errorf("spells: the share of ETo must be 0 or more (got %g)", rule.EToShare)
	case rule.EToShare > 0 && len(etoMM) != len(rainMM):
		return nil, fmt.Errorf("spells: %d days of ETo for %d days of rain", len(etoMM), len(rainMM))
	}
	n := len(rainMM)
	h := &History{first: first, day0: dayNumber(first), kind: make([]Kind, n), run: make([]int32, n), dry: make([]int32, n), known: make([]int32, n)}
	before := int32(-1) // the spell up to yesterday: not known before the record
	for i, mm := range rainMM {
		eto := math.NaN()
		if rule.EToShare > 0 {
			eto = etoMM[i]
		}
		h.kind[i] = rule.Kind(mm, eto)
		switch {
		case h.kind[i] == Wet:
			before = 0
		case h.kind[i] == Unknown:
			before = -1
		case before >= 0:
			before++
		}
		h.run[i] = before
	}
	for i := n - 2; i >= 0; i-- {
		if next := h.kind[i+1]; next != Unknown {
			h.known[i] = h.known[i+1] + 1
			if next == Dry {
				h.dry[i] = h.dry[i+1] + 1
			}
		}
	}
	return h, nil
}

// Days is the number of days of the record.
func (h *History) Days() int { return len(h.kind) }

// Years are the calendar years that the record touches; 0 and 0 when it is empty.
func (h *History) Years() (first, last int) {
	if len(h.kind) == 0 {
		return 0, 0
	}
	return h.first.Year, h.first.AddDays(len(h.kind) - 1).Year
}

// DryRun is how many days in a row were dry up to and with a date. Where the
// record does not tell when the spell began, days is what is known of it and
// atLeast is set; a date outside the record, or without known rain, has 0 and
// atLeast.
func (h *History) DryRun(last civil.Date) (days int, atLeast bool) {
	i := dayNumber(last) - h.day0
	if i < 0 || i >= len(h.kind) {
		return 0, true
	}
	if h.run[i] >= 0 {
		return int(h.run[i]), false
	}
	for ; i >= 0 && h.kind[i] == Dry; i-- {
		days++
	}
	return days, true
}

// dayNumber counts days, so that dates need no calendar in the loops.
func dayNumber(d civil.Date) int {
	return int(time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// inYear is the day of a year that stands for a calendar day: 28 February for
// 29 February where there is none.
func inYear(d civil.Date, year int) civil.Date {
	d.Year = year
	if d.Month == time.February && d.Day == 29 && !d.IsValid() {
		d.Day = 28
	}
	return d
}
