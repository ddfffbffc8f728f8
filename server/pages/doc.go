// Package pages is the registry for people who will never open a terminal: pages that
// a server writes and any browser shows.
//
// What it promises:
//
//   - It has no way into the registry but the contract: every page is made of calls
//     over a connection in memory, as the caller whose token the visitor signed in
//     with, or as one without. What a call may do is settled where calls arrive, and
//     so are limits: a page's calls count as those of the visitor's address.
//   - A page works without script, and has none. It asks for nothing from another
//     site; its policy forbids it to.
//   - What changes anything is a POST, and one that another site's page has sent is
//     refused.
//   - Every field has a label, every page one heading of the first rank and its
//     landmarks; nothing is said by colour alone; and every text contrasts with its
//     ground by at least 4.5 to 1 (WCAG 2.2, 1.4.3).
//   - Only the points of towns are drawn.
package pages
