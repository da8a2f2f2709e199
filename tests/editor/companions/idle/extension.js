/* global exports */
exports.activate = () => undefined;
