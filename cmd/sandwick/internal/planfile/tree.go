// JSON as a tree in which everything knows where it stands.

package planfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"sandwick/et/input"
)

// node is one JSON value. at is the offset of its first byte.
type node struct {
	at      int64
	value   any // string, json.Number, bool, nil, []node or []member
	members []member
	items   []node
	kind    string // "an object", "a list", "text", "a number", "true or false", "null"
}

type member struct {
	name string
	at   int64
	node
}

// find is a member of an object by name.
func (n *node) find(name string) *member {
	for i := range n.members {
		if n.members[i].name == name {
			return &n.members[i]
		}
	}
	return nil
}

// source is the text of a file and how to tell a place in it.
type source struct {
	file string
	text []byte
}

// pos turns an offset into a place.
func (s *source) pos(at int64) input.Pos {
	at = min(at, int64(len(s.text)))
	before := s.text[:at]
	line := bytes.Count(before, []byte("\n"))
	return input.Pos{File: s.file, Line: line + 1, Column: int(at) - bytes.LastIndexByte(before, '\n')}
}

// mostDepth is how deep values may nest: a plan has five levels.
const mostDepth = 32

// parse reads one document.
func (s *source) parse() (node, input.Problems) {
	var ps input.Problems
	p := parser{source: s, dec: json.NewDecoder(bytes.NewReader(s.text))}
	p.dec.UseNumber()
	n, err := p.value(0)
	if err == nil {
		if at := p.skip(); at < int64(len(s.text)) {
			ps.Add(s.pos(at), "", "", "something follows the end of the plan; one JSON document is wanted")
		}
		return n, ps
	}
	var syntax *json.SyntaxError
	var own *parseError
	switch {
	case errors.As(err, &own):
		ps.Add(s.pos(own.at), "", "", "%s", own.msg)
	case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
		ps.Add(s.pos(int64(len(s.text))), "", "", "the file ends in the middle; want the JSON that `sandwick plan --json` writes")
	case errors.As(err, &syntax):
		ps.Add(s.pos(max(0, syntax.Offset-1)), "", "", "is not JSON: %v", syntax)
	default:
		ps.Add(s.pos(p.dec.InputOffset()), "", "", "is not JSON: %v", err)
	}
	return n, ps
}

// parseError is a fault at a place.
type parseError struct {
	at  int64
	msg string
}

func (e *parseError) Error() string { return e.msg }

type parser struct {
	*source
	dec *json.Decoder
}

// skip is where the next token begins.
func (p *parser) skip() int64 {
	at := p.dec.InputOffset()
	for at < int64(len(p.text)) && bytes.IndexByte([]byte(" \t\r\n,:"), p.text[at]) >= 0 {
		at++
	}
	return at
}

func (p *parser) value(depth int) (node, error) {
	n := node{at: p.skip()}
	if depth > mostDepth {
		return n, &parseError{n.at, "is nested too deep for a plan"}
	}
	token, err := p.dec.Token()
	if err != nil {
		return n, err
	}
	switch v := token.(type) {
	case json.Delim:
		if v == '[' {
			return p.list(n, depth)
		}
		return p.object(n, depth)
	case string:
		n.value, n.kind = v, "text"
	case json.Number:
		n.value, n.kind = v, "a number"
	case bool:
		n.value, n.kind = v, "true or false"
	case nil:
		n.kind = "null"
	default:
		return n, fmt.Errorf("unknown token %v", token)
	}
	return n, nil
}

func (p *parser) list(n node, depth int) (node, error) {
	n.kind = "a list"
	for p.dec.More() {
		item, err := p.value(depth + 1)
		if err != nil {
			return n, err
		}
		n.items = append(n.items, item)
	}
	_, err := p.dec.Token()
	return n, err
}

func (p *parser) object(n node, depth int) (node, error) {
	n.kind = "an object"
	for p.dec.More() {
		m := member{at: p.skip()}
		key, err := p.dec.Token()
		if err != nil {
			return n, err
		}
		m.name, _ = key.(string)
		if m.node, err = p.value(depth + 1); err != nil {
			return n, err
		}
		if n.find(m.name) != nil {
			return n, &parseError{m.at, fmt.Sprintf("%q stands twice in one object", m.name)}
		}
		n.members = append(n.members, m)
	}
	_, err := p.dec.Token()
	return n, err
}
