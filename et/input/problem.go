package input

// Pos is a place in a text file. Line and Column count from 1, Column in
// bytes; 0 means "the whole line" or "the whole file". The zero Pos is nowhere.
type Pos struct {
	File         string
	Line, Column int
}

// Problem is one thing wrong in an input file.
type Problem struct {
	Pos
	Field string // column or key, as it stands in the file; may be empty
	Got   string // the text found, may be empty
	Msg   string // what is wrong and what would be accepted
}

// Problems collects everything wrong; the zero Problems is ready to use.
type Problems []Problem
