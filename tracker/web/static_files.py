"""Static files under names that hold their content's hash, the imports between our own scripts included."""

from whitenoise.storage import CompressedManifestStaticFilesStorage

_ANY_SCRIPT, _IMPORTS = CompressedManifestStaticFilesStorage._js_module_import_aggregation_patterns


class HashedStaticFiles(CompressedManifestStaticFilesStorage):
    """Without the imports a browser may pair a new page with an old module. The built-in switch reads every script,
    and stumbles over a library's."""

    patterns = (*CompressedManifestStaticFilesStorage.patterns, ("js/*.js", _IMPORTS))
