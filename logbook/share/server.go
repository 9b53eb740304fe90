package share

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// Error is what went wrong, in one line, and what to do about it.
type Error struct {
	text, hint string
	cause      error
}

func (e *Error) Error() string { return e.text }
func (e *Error) Hint() string  { return e.hint }
func (e *Error) Unwrap() error { return e.cause }

func wrong(cause error, hint, format string, args ...any) error {
	return &Error{fmt.Sprintf(format, args...), hint, cause}
}

// CheckServers refuses addresses that could not be meant: of another protocol, or with a password, which whoever looks
// at the list of running programs would read.
func CheckServers(servers string) error {
	_, _, err := addresses(servers)
	return err
}

// addresses gives the addresses of servers, and whether what goes there must be encrypted: unless all are of this
// machine.
func addresses(servers string) (urls []string, encrypted bool, err error) {
	for _, typed := range strings.Split(servers, ",") {
		address := strings.TrimSpace(typed)
		if !strings.Contains(address, "://") {
			address = "nats://" + address
		}
		u, err := url.Parse(address)
		switch {
		case err != nil || u.Host == "":
			return nil, false, wrong(err, "such as nats://server.example:4222", "%q is not the address of a server", typed)
		case u.User != nil:
			return nil, false, wrong(nil, "--login FILE with the name and the password on two lines, or --creds FILE",
				"the address of a server holds no name and no password")
		case u.Scheme != "nats" && u.Scheme != "tls":
			return nil, false, wrong(nil, "nats:// or tls://", "%q is not a way to reach a server", u.Scheme+"://")
		}
		ip := net.ParseIP(u.Hostname())
		here := u.Hostname() == "localhost" || ip != nil && ip.IsLoopback()
		encrypted = encrypted || !here || u.Scheme == "tls"
		urls = append(urls, u.String())
	}
	return urls, encrypted, nil
}

// answerWithin is how long a server may take to answer.
const answerWithin = 5 * time.Second

// connect connects to one of the servers of a shared book.
func connect(s logbook.Shared, within time.Duration) (*nats.Conn, error) {
	urls, encrypted, err := addresses(s.Servers)
	if err != nil {
		return nil, err
	}
	// Whoever loses the connection begins again from what the book knows; other servers of a cluster are not taken on
	// trust, for only those that were named are known to be of this machine.
	options := []nats.Option{nats.Name("leadline " + s.Member), nats.NoReconnect(), nats.IgnoreDiscoveredServers(),
		nats.Timeout(within), nats.PingInterval(answerWithin)}
	if encrypted {
		set := &tls.Config{MinVersion: tls.VersionTLS12}
		if s.CA != "" {
			pem, err := os.ReadFile(s.CA)
			set.RootCAs = x509.NewCertPool()
			if err != nil || !set.RootCAs.AppendCertsFromPEM(pem) {
				return nil, wrong(err, "--ca FILE with a certificate in PEM", "%s: no certificate can be read there", s.CA)
			}
		}
		options = append(options, nats.Secure(set))
	}
	if s.Creds != "" {
		options = append(options, nats.UserCredentials(s.Creds))
	}
	if s.Login != "" {
		text, err := os.ReadFile(s.Login)
		lines := strings.FieldsFunc(string(text), func(r rune) bool { return r == '\n' || r == '\r' })
		if err != nil || len(lines) != 2 {
			return nil, wrong(err, "a file of two lines: the name, and the password",
				"%s: no name and password can be read there", s.Login)
		}
		options = append(options, nats.UserInfo(lines[0], lines[1]))
	}
	nc, err := nats.Connect(strings.Join(urls, ","), options...)
	return nc, inWords(s, err)
}

const laterHint = "what is noted stays in this book, and goes over with the next sync"

// inWords says what a server or the way to it answered.
func inWords(s logbook.Shared, err error) error {
	var known *Error
	var api *jetstream.APIError
	var untrusted *tls.CertificateVerificationError
	var alert tls.AlertError
	const noRoom = 10047
	switch {
	case err == nil, errors.As(err, &known), logbook.OfBook(err), errors.Is(err, context.Canceled):
		return err
	case errors.Is(err, nats.ErrAuthorization), errors.Is(err, nats.ErrAuthExpired):
		return wrong(err, "--creds FILE or --login FILE of leadline share join", "the server at %s does not let this book in",
			s.Servers)
	case errors.Is(err, nats.ErrPermissionViolation):
		return wrong(err, "", "the server at %s does not allow it: %v", s.Servers, err)
	case errors.Is(err, nats.ErrSecureConnWanted):
		return wrong(err, "start it with a certificate; without one it is only spoken to from its own machine",
			"the server at %s does not encrypt", s.Servers)
	case errors.As(err, &untrusted), errors.As(err, &alert):
		return wrong(err, "--ca FILE of leadline share join, if it is signed by your own authority",
			"the certificate of the server at %s is not trusted: %v", s.Servers, err)
	case errors.Is(err, jetstream.ErrJetStreamNotEnabled), errors.Is(err, jetstream.ErrJetStreamNotEnabledForAccount):
		return wrong(err, "start it with JetStream: nats-server -js", "the server at %s keeps no streams", s.Servers)
	case errors.As(err, &api) && api.ErrorCode == noRoom, err != nil && strings.Contains(err.Error(), "insufficient"):
		return wrong(err, laterHint, "the server at %s has no room left", s.Servers)
	case errors.As(err, &api):
		return wrong(err, laterHint, "the server at %s does not do it: %s", s.Servers, api.Description)
	}
	why := strings.TrimPrefix(err.Error(), "nats: ")
	if errors.Is(err, nats.ErrNoServers) {
		why = "nothing answers"
	}
	return wrong(err, laterHint, "the server at %s cannot be reached: %s", s.Servers, why)
}
