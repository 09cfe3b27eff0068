package access

import (
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"
)

// TLSFiles are the files that make up the identity of the service.
type TLSFiles struct {
	Certificate, Key string // PEM
	Clients          string // PEM of the authorities whose client certificates are asked for; "" for none
}

// Config makes a TLS configuration that reads the files again when they change.
// While new ones cannot be read, the old ones stay in force. The error says that
// they could not be read at first.
func (f TLSFiles) Config() (*tls.Config, error) {
	r := &reloader{files: f}
	if err := r.load(); err != nil {
		return nil, err
	}
	return &tls.Config{
		MinVersion: tls.VersionTLS12,
		GetConfigForClient: func(*tls.ClientHelloInfo) (*tls.Config, error) {
			return r.config(), nil
		},
	}, nil
}

type reloader struct {
	files TLSFiles

	mu      sync.Mutex
	looked  time.Time
	stamp   string
	current *tls.Config
}

// config looks at the files at most once a second.
func (r *reloader) config() *tls.Config {
	r.mu.Lock()
	defer r.mu.Unlock()
	if time.Since(r.looked) > time.Second {
		if stamp := r.files.stamp(); stamp != r.stamp {
			_ = r.load() // the old ones stay in force
		}
		r.looked = time.Now()
	}
	return r.current
}

// stamp tells versions of the files apart.
func (f TLSFiles) stamp() (s string) {
	for _, name := range []string{f.Certificate, f.Key, f.Clients} {
		if info, err := os.Stat(name); err == nil {
			s += fmt.Sprint(info.ModTime().UnixNano(), " ", info.Size(), " ")
		}
	}
	return s
}

func (r *reloader) load() error {
	stamp := r.files.stamp()
	pair, err := tls.LoadX509KeyPair(r.files.Certificate, r.files.Key)
	if err != nil {
		return fmt.Errorf("read the certificate of the service: %w", err)
	}
	c := &tls.Config{MinVersion: tls.VersionTLS12, Certificates: []tls.Certificate{pair}, NextProtos: []string{"h2", "http/1.1"}}
	if r.files.Clients != "" {
		pem, err := os.ReadFile(r.files.Clients)
		if err != nil {
			return fmt.Errorf("read the authorities of clients: %w", err)
		}
		c.ClientCAs, c.ClientAuth = x509.NewCertPool(), tls.VerifyClientCertIfGiven
		if !c.ClientCAs.AppendCertsFromPEM(pem) {
			return errors.Join(fmt.Errorf("read the authorities of clients: %q holds no certificate in PEM", r.files.Clients))
		}
	}
	r.current, r.stamp = c, stamp
	return nil
}
