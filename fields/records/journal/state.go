// The state file: the intent that may be under way and what was done last.

package journal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"time"
)

// intent is an addition that was begun.
type intent struct {
	File   string // slash path in the farm folder
	Offset int64  // where the text goes
	Text   []byte
}

// torn tells whether tail, what follows the offset, is a part of the text and
// not all of it. One that lacks the end of its last line only has all its rows,
// whether a crash or an editor took the end away. A disk may have put later parts of it in place before earlier
// ones, which are then zero.
func (in *intent) torn(tail []byte) bool {
	if len(tail) == 0 || len(tail) > len(in.Text) || len(tail) >= len(bytes.TrimRight(in.Text, "\r\n")) && bytes.HasPrefix(in.Text, tail) {
		return false
	}
	for i, b := range tail {
		if b != in.Text[i] && b != 0 {
			return false
		}
	}
	return true
}

// Done is something that was added, remembered so that it can be undone by
// saying no more than that.
type Done struct {
	Time time.Time
	What string   // in words
	File string   // to which it was added
	Rows []string // what the rows are known by
}

// What is remembered is bounded: the state is written with every addition.
const (
	mostDone      = 30
	mostDoneBytes = 16 << 10
)

// state is what the state file holds. The zero state is that of no file.
type state struct {
	Intent *intent `json:",omitempty"`
	Done   []Done  `json:",omitempty"` // the last first

	Marks map[string]marked `json:",omitempty"` // by file
}

// push remembers d. The newest is kept whatever its size.
func (s *state) push(d Done) {
	done := make([]Done, 1, len(s.Done)+1)
	done[0] = d
	size := 0
	for _, old := range s.Done {
		for _, r := range old.Rows {
			size += len(r)
		}
		if len(done) == mostDone || size > mostDoneBytes {
			break
		}
		done = append(done, old)
	}
	s.Done = done
}

// Done gives what was added by way of this journal, the last first, as far as
// it is remembered.
func (j *Journal) Done() []Done { return j.state.Done }

// Remember puts done, the last first, in the place of Done, with the next addition.
func (j *Journal) Remember(done []Done) { j.state.Done = done }

// encode gives the text of a state: a checksum, a line end, JSON.
func (s state) encode() []byte {
	body, err := json.Marshal(s)
	if err != nil {
		panic("journal: " + err.Error()) // plain values always encode
	}
	sum := sha256.Sum256(body)
	return append(append([]byte(hex.EncodeToString(sum[:])), '\n'), body...)
}

// decodeState gives the zero state for a text that is not whole.
func decodeState(text []byte) state {
	sum, body, _ := bytes.Cut(text, []byte("\n"))
	got := sha256.Sum256(body)
	var s state
	if hex.EncodeToString(got[:]) != string(sum) || json.Unmarshal(body, &s) != nil {
		return state{}
	}
	return s
}

func readState(path string) state {
	text, err := os.ReadFile(path)
	if err != nil {
		return state{}
	}
	return decodeState(text)
}

// save writes the state in place; force puts it on the disk. The file is only
// ever made once, so that its folder need not be forced each time.
func (j *Journal) save(force bool) error {
	path := filepath.Join(j.dir, Dir, stateFile)
	_, missing := os.Stat(path)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	if missing != nil {
		share(path, 0o666)
	}
	text := j.state.encode()
	err = j.write(f, text, 0)
	if err == nil {
		err = f.Truncate(int64(len(text)))
	}
	if err == nil && force {
		if err = f.Sync(); err == nil {
			j.reached("state on disk")
		}
	}
	if closing := f.Close(); err == nil {
		err = closing
	}
	if err == nil && force && missing != nil {
		err = syncDir(filepath.Dir(path))
	}
	return err
}

// Recent is Done for somebody who does not hold the folder for writing.
func Recent(dir string) []Done { return readState(filepath.Join(dir, Dir, stateFile)).Done }
