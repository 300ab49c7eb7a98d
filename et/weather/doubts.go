// Doubts of one kind are told a few times and then counted.

package weather

import (
	"fmt"

	"sandwick/et/input"
)

// maxAlike is how many doubts of one kind in one column are told one by one.
const maxAlike = 5

// doubts collects doubts.
type doubts struct {
	list  input.Problems
	count map[string]int
	next  map[string]input.Problem // the first that was only counted
	kinds []string                 // in the order of next
}

// add takes a doubt. Those of the same kind and field are alike.
func (d *doubts) add(kind string, p input.Problem) {
	if d.count == nil {
		d.count, d.next = map[string]int{}, map[string]input.Problem{}
	}
	kind += " " + p.Field
	n := d.count[kind]
	d.count[kind]++
	switch {
	case n < maxAlike:
		d.list = append(d.list, p)
	case n == maxAlike:
		d.next[kind] = p
		d.kinds = append(d.kinds, kind)
	}
}

// done gives the doubts in order of place, with the number of those left out.
func (d *doubts) done() input.Problems {
	for _, kind := range d.kinds {
		p := d.next[kind]
		if more := d.count[kind] - maxAlike; more > 1 {
			p.Msg = fmt.Sprintf("%s (and %d more like it)", p.Msg, more-1)
		}
		d.list = append(d.list, p)
	}
	d.list.Sort()
	return d.list
}
