// Remarks that hold quantities.

package report

import (
	"encoding/json"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
)

// Note is a remark for people. Like a Reason it is in SI in JSON and in the
// display units in text.
type Note func(units.System) string

// MarshalJSON writes the remark, in SI.
func (n Note) MarshalJSON() ([]byte, error) { return json.Marshal(n(units.SI)) }

// Plain is a Note without a quantity in it.
func Plain(text string) Note { return func(units.System) string { return text } }

// DoubtNotes are doubts about files as notes.
func DoubtNotes(doubts input.Problems) []Note {
	notes := make([]Note, len(doubts))
	for i := range doubts {
		notes[i] = Plain(doubts[i].Error())
	}
	return notes
}

// Texts are the notes in the units of s.
func Texts(notes []Note, s units.System) []string {
	lines := make([]string, len(notes))
	for i, n := range notes {
		lines[i] = n(s)
	}
	return lines
}
