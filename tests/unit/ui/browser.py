"""A small browser without a network: requests to an ASGI app, cookies kept between them."""

import asyncio
from collections.abc import Mapping

import httpx
from starlette.types import ASGIApp

ORIGIN = "http://testserver"


class Browser:
    """Follows no redirects, so that tests see them. ``cookies`` is what it would send next."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self.cookies = httpx.Cookies()

    def get(
        self,
        path: str,
        *,
        headers: Mapping[str, str] | None = None,
        params: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        return self.request("GET", path, headers=headers, params=params)

    def post(
        self,
        path: str,
        data: Mapping[str, str],
        *,
        headers: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        return self.request("POST", path, data=data, headers=headers)

    def request(
        self,
        method: str,
        path: str,
        *,
        headers: Mapping[str, str] | None = None,
        params: Mapping[str, str] | None = None,
        data: Mapping[str, str] | None = None,
    ) -> httpx.Response:
        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(app=self._app)
            async with httpx.AsyncClient(
                transport=transport, base_url=ORIGIN, cookies=self.cookies
            ) as client:
                answer = await client.request(
                    method, path, headers=headers, params=params, data=data
                )
                self.cookies = client.cookies
                return answer

        return asyncio.run(send())
