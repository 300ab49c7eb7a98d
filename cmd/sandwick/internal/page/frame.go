// The page as part of a local site: the same document with something around it.

package page

import "html/template"

// Frame is what stands around a page that a server sends. Its parts are the
// server's own markup. The policies on what a page may do are then the
// server's, in its headers.
type Frame struct {
	Head template.HTML // at the end of the head
	Top  template.HTML // before the front sheet
	Foot template.HTML // after the last
}

// Style is the style sheet of the page, for other pages of the same look.
func Style() string { return style }

// Action is what to do with one machine, as the front sheet says it.
type Action struct {
	Pivot, Verb, When, What, Why string
	Go                           bool // there is something to do today
}

// Actions are the lines of the front sheet.
func Actions(a *Args) []Action {
	list := []Action{}
	for _, x := range newView(a).Actions {
		list = append(list, Action{x.Pivot, x.Verb, x.When, x.What, x.Why, x.Go})
	}
	return list
}
