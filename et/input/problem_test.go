package input_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"sandwick/et/input"
)

func TestProblemError(t *testing.T) {
	tests := []struct {
		p    input.Problem
		want string
	}{
		{input.Problem{Pos: input.Pos{File: "rain.csv", Line: 3, Column: 5}, Field: "amount_in", Got: "x", Msg: "not a number"},
			`rain.csv:3:5: amount_in: not a number (got "x")`},
		{input.Problem{Pos: input.Pos{File: "rain.csv", Line: 3}, Msg: "too short"}, `rain.csv:3: too short`},
		{input.Problem{Pos: input.Pos{File: "rain.csv"}, Msg: "the file is empty"}, `rain.csv: the file is empty`},
		{input.Problem{Pos: input.Pos{Line: 3, Column: 5}, Field: "a", Msg: "m"}, `line 3, column 5: a: m`},
		{input.Problem{Pos: input.Pos{Line: 3}, Msg: "m"}, `line 3: m`},
		{input.Problem{Field: "a", Msg: "m"}, `a: m`},
		{input.Problem{Msg: "m"}, `m`},
		{input.Problem{Msg: "m", Got: strings.Repeat("ä", 50)}, `m (got "` + strings.Repeat("ä", 40) + `…")`},
		{input.Problem{Msg: "m", Got: "a\x1b[31m\n"}, `m (got "a\x1b[31m\n")`},
	}
	for _, tt := range tests {
		if got := tt.p.Error(); got != tt.want {
			t.Errorf("got  %s\nwant %s", got, tt.want)
		}
	}
}

func TestProblems(t *testing.T) {
	var ps input.Problems
	if ps.Err() != nil {
		t.Error("no problems are an error")
	}
	for i := range input.MaxPrinted + 3 {
		ps.Add(input.Pos{File: "a.csv", Line: 100 - i, Column: 1}, "x", "", "wrong by %d", i)
	}
	ps.AddError(input.Pos{File: "a.csv", Line: 1, Column: 9}, "y", "z", errors.New("bad"))
	ps.AddError(input.Pos{}, "", "", nil)
	ps.AddError(input.Pos{}, "", "", fmt.Errorf("around: %w", input.Problem{Pos: input.Pos{File: "a.csv", Line: 1, Column: 2}, Msg: "first"}))
	ps.AddError(input.Pos{}, "", "", input.Problems{{Pos: input.Pos{File: "A.csv", Line: 7}, Msg: "other file"}})
	ps.Sort()
	lines := strings.Split(ps.Err().Error(), "\n")
	if len(lines) != input.MaxPrinted+1 || lines[0] != "A.csv:7: other file" || lines[1] != "a.csv:1:2: first" ||
		lines[2] != `a.csv:1:9: y: bad (got "z")` || lines[3] != "a.csv:78:1: x: wrong by 22" || lines[input.MaxPrinted] != "(and 6 more)" {
		t.Errorf("got\n%s", ps.Error())
	}
}
