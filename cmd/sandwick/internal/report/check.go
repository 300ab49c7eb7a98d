// What is wrong in a farm's files, for other programs.

package report

import "sandwick/et/input"

// Check is what `sandwick check --json` answers. Its JSON names are promised.
type Check struct {
	Problems []Problem `json:"problems"` // must be mended
	Doubts   []Problem `json:"doubts"`   // look odd, stop no work
}

// Problem is one thing wrong and where. Line and column count from 1; 0 is the
// whole file or line.
type Problem struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Field   string `json:"field"`
	Message string `json:"message"`
	Got     string `json:"got"`
}

// NewCheck puts problems and doubts into the form in which they are written.
func NewCheck(problems, doubts input.Problems) *Check {
	list := func(from input.Problems) []Problem {
		out := make([]Problem, len(from))
		for i, x := range from {
			out[i] = Problem{x.File, x.Line, x.Column, x.Field, x.Msg, x.Got}
		}
		return out
	}
	return &Check{list(problems), list(doubts)}
}
