// What forms are made of, and the data of every page.

package site

import (
	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
)

// The kinds of field.
const (
	Choice   = "choice"   // one of Options
	Text     = "text"     // a line
	Number   = "number"   // a number with a unit that goes with it, or one of Units to be chosen
	Date     = "date"     // a day
	Moment   = "moment"   // a day and a time
	Lines    = "lines"    // several lines
	Tick     = "tick"     // yes or no
	Together = "together" // a heading for the fields that follow
)

// Field is one thing asked for.
type Field struct {
	Kind, Name, Label, Help string
	Value                   string
	Options                 []Option // of a choice
	Units                   []string // of a number: more than one are to be chosen from
	Unit                    string   // the one chosen
	Fault                   string   // why what was typed will not do
	Short                   bool     // stands beside its neighbours
}

// Option is one value of a choice.
type Option struct{ Value, Text string }

// Kind is one kind of record.
type Kind struct{ Path, Name string }

// Form is a page that asks for a record.
type Form struct {
	Page
	Lead   string
	Action string
	Once   string // names this form, so that sending it twice records it once
	Fields []Field
	Fault  string // what is wrong with it as a whole
	Kinds  []Kind
	Lately []Back
}

// Faulty tells whether anything is wrong with it.
func (f *Form) Faulty() bool {
	for i := range f.Fields {
		if f.Fields[i].Fault != "" {
			return true
		}
	}
	return f.Fault != ""
}

// Row is a row of a book.
type Row struct {
	Text string // for people
	Key  string // its own text, to know it by
	Line int
}

// Back is rows of one file that can be taken back together.
type Back struct {
	File, Token string
	Rows        []Row
}

// Done is a page that tells what was recorded or taken back.
type Done struct {
	Page
	Head    string
	Said    []string // what was understood
	Doubts  []string
	Back    *Back // how to take it back; nil: it was taken back
	Pending bool  // the plan is still being made
	Changes []Change
	Cost    string // what the plan costs now and did before
	Fault   string // why there is no plan
	Again   Kind
}

// Change is a machine's line of the front sheet, now and before.
type Change struct {
	page.Action
	Before string // empty: as it was, or not known
	Same   bool   // as it was
}

// Say is a page that tells one thing.
type Say struct {
	Page
	Head  string
	Why   string
	List  []string
	Retry bool // worth looking again soon
	ID    string
}

// SignIn is the page that asks for the passphrase.
type SignIn struct {
	Page
	Fault, Then string
}

// WhatIf is the page that prices a way of one's own.
type WhatIf struct {
	Page
	Lead   string
	Fault  string
	Pivots []WhatIfPivot
	Sky    Field
	Rain   Field
	RainOn Field
	Asked  []string
	Answer *WhatIfAnswer
}

// WhatIfPivot is what is asked of one machine.
type WhatIfPivot struct {
	Name   string
	Do, At Field
}

// WhatIfAnswer is what a way of one's own comes to.
type WhatIfAnswer struct {
	Verdict  string
	Cannot   string // why it cannot be run; empty: it can
	Terms    []report.Term
	Expected string // what it comes to if the weather is as expected
	Passes   []WhatIfPass
}

// WhatIfPass is one machine's first pass, as planned and one's own way.
type WhatIfPass struct{ Pivot, Plan, Own string }

// Zones is the page of the editor.
type Zones struct {
	Page
	Map    string // the text of zones.geojson
	Was    string // names the text it was made from
	Facts  string // JSON for the script: machines, fields, soils
	Faults []string
	Saved  string
}
