"""A small OpenID Connect provider on loopback: signs in whom the test says, without asking."""

import json
import secrets
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from typing_extensions import override

# The extra of that name: what Streamlit's login needs, and nothing else does.
pytest.importorskip("authlib", reason="install the extra 'oidc'")

from joserfc import jwt
from joserfc.jwk import KeySet, RSAKey

CLIENT_ID, CLIENT_SECRET = "underbody", "a secret of the test"


class Provider:
    """``claims`` is what it says of whoever comes next."""

    def __init__(self, server: ThreadingHTTPServer) -> None:
        self.address = f"http://127.0.0.1:{server.server_address[1]}"
        self.claims: Mapping[str, object] = {}
        self._key = RSAKey.generate_key(2048, {"kid": "one", "use": "sig", "alg": "RS256"})
        self._given: dict[str, str] = {}

    def discovery(self) -> Mapping[str, object]:
        return {
            "issuer": self.address,
            "authorization_endpoint": f"{self.address}/authorize",
            "token_endpoint": f"{self.address}/token",
            "jwks_uri": f"{self.address}/jwks",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
            "code_challenge_methods_supported": ["S256"],
        }

    def jwks(self) -> Mapping[str, object]:
        return {"keys": [dict(key) for key in KeySet([self._key]).as_dict(private=False)["keys"]]}

    def authorize(self, asked: Mapping[str, str]) -> str:
        """Return where the browser goes on to, with a code for whoever ``claims`` names."""
        code = secrets.token_urlsafe(16)
        self._given[code] = asked.get("nonce", "")
        return f"{asked['redirect_uri']}?{urlencode({'code': code, 'state': asked['state']})}"

    def token(self, asked: Mapping[str, str]) -> Mapping[str, object]:
        now = int(time.time())
        claims = {
            "iss": self.address,
            "aud": CLIENT_ID,
            "iat": now,
            "exp": now + 300,
            "nonce": self._given.pop(asked["code"]),
            **self.claims,
        }
        signed = jwt.encode({"alg": "RS256", "kid": "one"}, claims, self._key)
        return {"access_token": "unused", "token_type": "Bearer", "id_token": signed}


class _Handler(BaseHTTPRequestHandler):
    provider: Provider

    def do_GET(self) -> None:
        where = urlsplit(self.path)
        if where.path == "/authorize":
            asked = {name: values[0] for name, values in parse_qs(where.query).items()}
            self.send_response(302)
            self.send_header("Location", self.provider.authorize(asked))
            self.end_headers()
            return
        answers = {
            "/.well-known/openid-configuration": self.provider.discovery,
            "/jwks": self.provider.jwks,
        }
        self._answer(answers[where.path]())

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"])).decode()
        asked = {name: values[0] for name, values in parse_qs(body).items()}
        self._answer(self.provider.token(asked))

    def _answer(self, document: Mapping[str, object]) -> None:
        data = json.dumps(document).encode()
        self.send_response(200)
        self.send_header("Content-Type", "application/json")
        self.send_header("Content-Length", str(len(data)))
        self.end_headers()
        self.wfile.write(data)

    @override
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@contextmanager
def running_provider() -> Iterator[Provider]:
    handler = type("Handler", (_Handler,), {})
    server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
    provider = Provider(server)
    handler.provider = provider  # type: ignore[attr-defined]  # declared on the base
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield provider
    finally:
        server.shutdown()
        server.server_close()
