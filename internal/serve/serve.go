// Package serve is the pages for phones: a trainee sends a photo of a tray and
// sees the result, an instructor watches the class, a chef the line. Pages are
// made on the server, in every language of package phrase, and work without the script that
// comes with them. It shows what packages intake, book, board and line hold, and
// decides who sees what; it decodes and measures no photo, and never hands out
// a photo as it came, since that holds the place where it was taken.
package serve

import (
	"context"
	"html/template"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"netagauge/internal/core/phrase"
	"netagauge/internal/judge/standard"
	"netagauge/internal/keep/account"
	"netagauge/internal/keep/intake"
	"netagauge/internal/keep/settings"
	"netagauge/internal/serve/gate"
	"netagauge/internal/serve/localca"
	"netagauge/internal/serve/metrics"
	"netagauge/internal/serve/openid"
)

// Options are what the pages are made from.
type Options struct {
	Folder    *intake.Folder
	Accounts  *account.Accounts
	Settings  settings.Texts
	Log       *slog.Logger
	Numbers   *metrics.Numbers            // nil where nobody counts
	Workers   func(context.Context) error // says why no photo can be measured; nil where nobody knows
	Base      string                      // address for links when a page was asked for as localhost
	Names     []string                    // that the site is asked for by, beside its addresses
	Strict    bool                        // under TLS alone, by a certificate that browsers know: HSTS
	Authority *localca.Authority          // nil where phones have nothing to install
	Line      string                      // name of the line that spot checks go to
	Single    Single
	Standard  standard.Standard
	Site      string             // name within an organisation, empty without one
	Openid    *openid.Provider   // that people may sign in by; nil for none
	Languages []*phrase.Language // that the pages speak, the usual one first; nil for all there are
}

// Server answers requests. It holds no photo and, but for the board last drawn,
// no result.
type Server struct {
	Options
	host          *Organisation // that the site belongs to; nil for a kitchen by itself
	boards        boards
	passing       *gate.Throttle // passcodes, by address
	joining       *gate.Throttle // the class code, by address
	sending       *gate.Throttle // photos, by who sends them
	single        chan struct{}  // a place for one such photo at a time
	export        chan struct{}  // a place for one who takes the whole book along
	views         lately[viewKey, []byte]
	cutouts       lately[int64, map[int]cut] // by result and number
	found         ready
	leaving       chan struct{} // a removal waits for a photo that is being measured
	saving        sync.Mutex    // settings are saved one after another
	forgettingNow sync.Mutex
	pages         map[lang]map[string]*template.Template
}

// New prepares the pages and follows the folder's changes until ctx is done.
func New(ctx context.Context, o Options) (*Server, error) { return newSiteServer(ctx, o, nil) }

// newSiteServer is New for a site of an organisation, or, with nil, for a kitchen by
// itself.
func newSiteServer(ctx context.Context, o Options, host *Organisation) (*Server, error) {
	s := newServer(o)
	if s.host = host; host != nil {
		s.Languages, s.pages = host.Languages, host.pages // the same for all
	} else {
		s.parse()
	}
	if err := s.firstFiles(ctx); err != nil {
		return nil, err
	}
	if err := s.catchUp(ctx); err != nil {
		return nil, err
	}
	s.boards.loader.Book, s.boards.earlierLoader.Book = s.Folder.Book(), s.Folder.Book()
	go s.boards.follow(s.Folder.Watch(ctx))
	go s.forgetInTime(ctx)
	go s.keepInTime(ctx)
	return s, nil
}

// newServer is a server without its folder and pages.
func newServer(o Options) *Server {
	s := &Server{
		Options: o,
		passing: gate.NewThrottle(gate.Budget{Burst: 10, Wait: 10 * time.Second}, gate.Budget{Burst: 60, Wait: 2 * time.Second}, 8),
		joining: gate.NewThrottle(gate.Budget{Burst: 20, Wait: 3 * time.Second}, gate.Budget{Burst: 120, Wait: time.Second}, 64), // a class may share one address
		sending: gate.NewThrottle(gate.Budget{Burst: 40, Wait: 2 * time.Second}, gate.Budget{}, 8),
		single:  make(chan struct{}, 1),
		export:  make(chan struct{}, 1),
		leaving: make(chan struct{}, 1),
	}
	return s
}

// parse reads the pages in every language.
func (s *Server) parse() {
	if s.Languages == nil {
		s.Languages = phrase.Languages()
	}
	s.pages = parsePages(s.Languages)
}

// Handler is the whole site.
func (s *Server) Handler() http.Handler {
	m := http.NewServeMux()
	s.entrance(m)
	s.trays(m)
	s.eyes(m)
	s.assignments(m)
	s.stores(m)
	s.shifts(m)
	s.classroom(m)
	s.forgetting(m)
	s.dates(m)
	s.ownRecords(m)
	s.kitchen(m)
	s.examined(m)
	m.HandleFunc("/", s.answering(func(http.ResponseWriter, *http.Request) error { return errNotFound }))
	return s.guard(m)
}

// entrance are the pages by which people come in, and what every page needs.
func (s *Server) entrance(m *http.ServeMux) {
	m.HandleFunc("GET /{$}", s.answering(s.front))
	m.Handle("GET /static/", statics())
	m.HandleFunc("GET /sw.js", serviceWorker)
	m.HandleFunc("GET /language", s.answering(s.setLanguage))
	m.HandleFunc("GET /install", s.answering(s.install))
	m.HandleFunc("GET /install/netagauge.crt", s.answering(s.certificate))
	m.HandleFunc("GET /t/{token}", s.answering(s.follow))
	m.HandleFunc("POST /t/{token}", s.answering(s.follow))
	m.HandleFunc("POST /join", s.answering(s.join))
	m.HandleFunc("POST /signin", s.answering(s.signIn))
	m.HandleFunc("POST /signout", s.answering(s.signOut))
	m.HandleFunc("GET /openid", s.answering(s.leaveForProvider))
	m.HandleFunc("GET "+openid.BackPath, s.answering(s.backFromProvider))
	m.HandleFunc("GET /healthz", alive)
	m.HandleFunc("GET /readyz", s.readyz)
}

// trays are the pages where trays are sent and looked at.
func (s *Server) trays(m *http.ServeMux) {
	trainee := s.only(account.Trainee)
	m.Handle("GET /tray", trainee(s.tray))
	m.Handle("POST /tray", trainee(s.sendTray))
	m.Handle("GET /past", trainee(s.past))
	m.Handle("GET /past/trend.svg", trainee(s.trend))
	m.Handle("GET /past/everything.zip", trainee(s.everything))
	m.Handle("GET /hand", trainee(s.ownHand))

	anybody := s.only(account.Trainee, account.Instructor, account.Chef)
	m.Handle("GET /shots/{id}", anybody(s.shot))
	m.Handle("GET /shots/{id}/picture", anybody(s.picture))
	m.Handle("GET /shots/{id}/view", anybody(s.view))
	m.Handle("GET /shots/{id}/slices/{number}", anybody(s.slice))
	m.Handle("GET /shots/{id}/second", anybody(s.second))
	m.Handle("POST /shots/{id}/second", anybody(s.addSecond))
	m.Handle("POST /shots/{id}/weigh", anybody(s.weigh))
	m.Handle("POST /shots/{id}/again", anybody(s.again))
	m.Handle("POST /shots/{id}/order", anybody(s.tellOrder))
}

// classroom are the pages of who teaches.
func (s *Server) classroom(m *http.ServeMux) {
	teacher := s.only(account.Instructor)
	m.Handle("GET /class", teacher(s.class))
	m.Handle("GET /class/wall", teacher(s.wall))
	m.Handle("GET /class/hand", teacher(s.classHand))
	m.Handle("GET /files/hands.csv", teacher(s.handsCSV))
	m.Handle("GET /class/earlier", teacher(s.earlierClass))
	m.Handle("POST /class", teacher(s.openClass))
	m.Handle("POST /class/again", teacher(s.reopenClass))
	m.Handle("POST /shots/{id}/override", teacher(s.override))
	m.Handle("GET /roster", teacher(s.roster))
	m.Handle("POST /roster", teacher(s.saveRoster))
	m.Handle("GET /standard", teacher(s.standard))
	m.Handle("POST /standard", teacher(s.tryStandard))
	m.Handle("POST /standard/keep", teacher(s.keepStandard))
	m.Handle("POST /standard/undo", teacher(s.undoStandard))
	m.Handle("POST /standard/inherit", teacher(s.inheritStandard))
	m.Handle("GET /people", teacher(s.people))
	m.Handle("POST /people/code", teacher(s.newCode))
	m.Handle("GET /people/everything.zip", teacher(s.everythingOf))
	m.Handle("GET /people/links", teacher(s.askLinks))
	m.Handle("POST /people/links", teacher(s.newLinks))
	m.Handle("GET /people/links/{id}", teacher(s.linkSheet))
	m.Handle("POST /people/free", teacher(s.freeName))
	m.Handle("POST /people/passcodes", teacher(s.newPasscode))
	m.Handle("POST /people/passcodes/remove", teacher(s.removePasscode))
	m.Handle("POST /people/passcodes/back", teacher(s.restorePasscode))
	m.Handle("POST /people/accounts", teacher(s.invite))
	m.Handle("POST /people/accounts/remove", teacher(s.uninvite))
	m.Handle("GET /mat", teacher(s.mat))
	m.Handle("POST /mat", teacher(s.verifyMat))
	m.Handle("GET /files", teacher(s.files))
	m.Handle("GET /files/{name}", teacher(s.download))
	m.Handle("GET /files/book.json", teacher(s.wholeBook))
}

// kitchen are the pages of the line and of planning.
func (s *Server) kitchen(m *http.ServeMux) {
	kitchen := s.only(account.Chef, account.Instructor)
	m.Handle("GET /line", kitchen(s.line))
	m.Handle("POST /line", kitchen(s.sendCheck))
	m.Handle("POST /line/remark", kitchen(s.remark))
	m.Handle("GET /line/{chart}", kitchen(s.chart))
	m.Handle("GET /plan", kitchen(s.plan))
	m.Handle("POST /plan", kitchen(s.makePlan))
	m.Handle("GET /plan/sheet.pdf", kitchen(s.planSheet))
	m.Handle("GET /plan/picture/{id}", kitchen(s.planPicture))
}

// examined are the pages of exams, for candidates and for instructors.
func (s *Server) examined(m *http.ServeMux) {
	trainee, teacher := s.only(account.Trainee), s.only(account.Instructor)
	m.Handle("GET /exam", trainee(s.sit))
	m.Handle("POST /exam/trays", trainee(s.sendExamTray))
	m.Handle("GET /exam/certificate.pdf", trainee(s.ownCertificate))

	m.Handle("GET /exams", teacher(s.exams))
	m.Handle("POST /exams", teacher(s.setUpExam))
	m.Handle("GET /exams/{id}", teacher(s.exam))
	m.Handle("POST /exams/{id}/begin", teacher(s.beginExam))
	m.Handle("GET /exams/{id}/close", teacher(s.askClose))
	m.Handle("POST /exams/{id}/close", teacher(s.closeExam))
	m.Handle("GET /exams/{id}/record.json", teacher(s.examRecord))
	m.Handle("GET /exams/{id}/certificates/{number}", teacher(s.examCertificate))
	m.Handle("GET /exams/{id}/trays/{number}/{place}", teacher(s.examTray))
	m.Handle("POST /exams/{id}/trays/{number}/{place}", teacher(s.judgeTray))
	m.Handle("GET /exams/{id}/trays/{number}/{place}/view", teacher(s.examView))
	m.Handle("POST /exams/{id}/trays/{number}/{place}/allow", teacher(s.allowTray))
}

// HTTP is the server with its time limits. A photo over weak Wi-Fi gets longer;
// its handler says so.
func (s *Server) HTTP() *http.Server { return s.limited(s.Handler()) }

func (s *Server) limited(h http.Handler) *http.Server {
	return &http.Server{
		Handler: h, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 30 * time.Second,
		WriteTimeout: 60 * time.Second, IdleTimeout: 15 * time.Second, MaxHeaderBytes: 16 << 10,
	}
}
