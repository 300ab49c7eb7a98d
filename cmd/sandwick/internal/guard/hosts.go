// Whose name a request asks for. A site can point a name of its own at this
// machine and then read our pages as its own (DNS rebinding); it cannot make a
// browser send another Host than that name.

package guard

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// ownHost tells whether a request's Host is the address that it came in on, a
// loopback name where that is loopback, or one of the names given.
func (g *Guard) ownHost(r *http.Request) bool {
	host := r.Host
	if h, _, err := net.SplitHostPort(r.Host); err == nil {
		host = h // the port may be another's that leads here
	}
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return false
	}
	at, err := netip.ParseAddrPort(local.String())
	if err != nil {
		return false
	}
	own := at.Addr().Unmap().WithZone("")
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if ip, err := netip.ParseAddr(strings.Trim(host, "[]")); err == nil {
		return ip.Unmap().WithZone("") == own
	}
	if host == "localhost" {
		return own.IsLoopback()
	}
	return slices.ContainsFunc(g.o.Names, func(name string) bool { return strings.EqualFold(name, host) })
}

// Loopback tells whether an address to listen on is reached from this machine
// only. A name other than localhost, and no host at all, is not.
func Loopback(address string) bool {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return false
	}
	if host == "localhost" {
		return true
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.Unmap().IsLoopback()
}
