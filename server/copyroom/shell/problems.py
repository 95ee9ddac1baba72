"""What a browser gets instead of a page or an answer: one sentence on what is wrong, one on what to do."""

from __future__ import annotations

from html import escape

from flask import Response, jsonify, request
from werkzeug.exceptions import HTTPException

_WORDS = {
    403: (
        "This is the instructor's.",
        "Open the console with the link that the server printed.",
    ),
    404: ("There is no such page here.", "Look at the address again, or join a class with the room's code."),
    405: ("This address is not asked in that way.", "Go back and try again from the page itself."),
    413: ("That is too much at once.", "Send less of it."),
    500: (
        "Something went wrong in the server.",
        "What was written is kept. Load the page again; if it stays so, look into the server's window.",
    ),
}
_OTHER = ("The server cannot answer that.", "Go back and try again from the page itself.")

_PAGE = """<!doctype html>
<html lang="en">
  <head>
    <meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1">
    <meta name="color-scheme" content="light dark">
    <title>Copyroom: {wrong}</title>
    <link rel="icon" href="/static/icon.svg" type="image/svg+xml">
    <link rel="stylesheet" href="/static/css/tokens.css">
    <link rel="stylesheet" href="/static/css/base.css">
  </head>
  <body>
    <main class="waiting-page">
      <h1>{wrong}</h1>
      <p>{todo}</p>
      <p><a class="button" href="/">Join a class</a></p>
    </main>
  </body>
</html>
"""


def problem(fault: HTTPException) -> Response:
    """A page for people, JSON for scripts."""
    code = fault.code or 500
    wrong, todo = _WORDS.get(code, _OTHER)
    if request.path.startswith(("/api/", "/enter")):
        response = jsonify(error=f"{wrong} {todo}")
    else:
        response = Response(_PAGE.format(wrong=escape(wrong), todo=escape(todo)), mimetype="text/html")
    response.status_code = code
    return response
